package segment

import (
	"math"

	"gonum.org/v1/gonum/floats"
)

// smearedEdge finds the edge, in samples, on a profile whose colour is smeared by
// a Gaussian of sigma samples while its brightness is sharp. Colour is taken as
// brightness times a ratio that steps at the edge, and smeared afterwards; the step
// is where this, with the best ratio on either side, fits the colour seen best.
// Brightness may do what it likes: a dark wall or a shadow at the foot does not
// move the edge. A share of brightness in colour is free: whoever edits a smeared
// photo, say its red, mixes sharp brightness into its colours. NaN where the best
// place is an end of the profile, or where one ratio all along fits nearly as well.
func (m mixture) smearedEdge(sharp []colour, sigma float64) float64 {
	at, left := m.smearedStep(sharp, sigma)
	if !(left < clearStep) {
		return math.NaN()
	}
	return at
}

// smearedStep is where that step fits best, and the share of the misfit without a
// step that remains; NaN and 1 where there is none, or its place is an end of the
// profile.
func (m mixture) smearedStep(sharp []colour, sigma float64) (place, left float64) {
	n := len(sharp)
	g := gauss(sigma)
	u, light := make([]float64, n), make([]float64, n)
	all, inner := make([]float64, n), make([]float64, n)
	for x := range n {
		u[x], light[x] = m.of(sharp[x]), sharp[x].l
		all[x] = smeared(sharp, g, x)
		for k := x + 1; k < len(g); k++ {
			inner[x] += g[k] * sharp[0].l // the profile goes on inward as it begins
		}
	}
	without(u, u, light)
	without(all, all, light)
	f := stepFit{u, all, light, floats.Dot(u, u), floats.Dot(u, all), floats.Dot(all, all), floats.Dot(light, light)}
	best, at := math.Inf(1), 0
	errs := make([]float64, n+1)
	for e := 1; e <= n; e++ {
		for x := max(0, e-len(g)); x < min(n, e-1+len(g)); x++ {
			inner[x] += g[abs(x-e+1)] * sharp[e-1].l
		}
		if errs[e] = f.misfit(inner); errs[e] < best {
			best, at = errs[e], e
		}
	}
	one := oneRatio(u, all)
	if at <= 2 || at >= n-1 || one <= 0 {
		return math.NaN(), 1
	}
	// A parabola through the least misfit and its neighbours; e samples lie inside.
	a, b, c := errs[at-1], errs[at], errs[at+1]
	return float64(at) - 0.5 + 0.5*(a-c)/math.Max(a-2*b+c, 1e-12), best / one
}

// clearStep is the share of the misfit without a step that may remain with one.
// Our setting.
const clearStep = 0.5

// without puts into rest what is left of v less its part along w.
func without(rest, v, w []float64) {
	share := floats.Dot(v, w) / floats.Dot(w, w)
	floats.AddScaledTo(rest, v, -share, w)
}

// oneRatio is the least sum of squares of u - p·all.
func oneRatio(u, all []float64) float64 {
	var uu, ua, aa float64
	for x, v := range u {
		uu, ua, aa = uu+v*v, ua+v*all[x], aa+all[x]*all[x]
	}
	return (1-1e-9)*uu - ua*ua/aa // less what rounding leaves
}

// stepFit is what steps are fitted to: the colour u, and the smeared brightness without
// any, both without their part along light; and their products.
type stepFit struct {
	u, all, light  []float64
	uu, ua, aa, ll float64
}

// misfit is the least sum of squares of u - p·i - q·(all - i), where i is what is left
// of inner without its part along light. Only products are formed: u and all have no
// such part, so theirs with i are those with inner.
func (f *stepFit) misfit(inner []float64) float64 {
	var ii, il, ui, ai float64
	u, all, light := f.u[:len(inner)], f.all[:len(inner)], f.light[:len(inner)]
	for x, v := range inner {
		ii, il, ui, ai = ii+v*v, il+v*light[x], ui+v*u[x], ai+v*all[x]
	}
	ii -= il * il / f.ll
	io, oo, uo, uu := ai-ii, f.aa-2*ai+ii, f.ua-ui, f.uu
	det := ii*oo - io*io
	if det <= 1e-9*ii*oo {
		return math.Inf(1)
	}
	p, q := (ui*oo-uo*io)/det, (uo*ii-ui*io)/det
	return uu - p*ui - q*uo
}

// gauss is half of a Gaussian's kernel, from its middle on, adding up to one.
func gauss(sigma float64) []float64 {
	g := make([]float64, int(math.Ceil(3*sigma))+1)
	sum := 0.0
	for i := range g {
		g[i] = math.Exp(-0.5 * float64(i*i) / (sigma * sigma))
		sum += 2 * g[i]
	}
	sum -= g[0]
	for i := range g {
		g[i] /= sum
	}
	return g
}

// smeared is a profile's brightness at x after smearing; beyond its ends it goes
// on as it ends.
func smeared(v []colour, g []float64, x int) float64 {
	s := g[0] * v[x].l
	for k := 1; k < len(g); k++ {
		s += g[k] * (v[max(0, x-k)].l + v[min(len(v)-1, x+k)].l)
	}
	return s
}

func abs(i int) int {
	if i < 0 {
		return -i
	}
	return i
}
