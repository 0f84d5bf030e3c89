package mat

import (
	"math"

	linalg "gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r2"
)

// How alike one phone's lens is in two photos taken a moment apart: focus and
// the stabiliser move it a little. Our setting, no source. The principal point's
// spreads are shares of the picture's diagonal.
const (
	sameF, sameK = 0.002, 0.002
	sameCentre   = 0.001
	centreSpread = 0.004
	freedoms     = parameters + 2 // the principal point is free as well
)

// Together fits two photos of one mat by one phone once more, as one lens seen
// twice. One photo alone cannot tell a principal point off the picture's middle
// from a tilt, and gets focal length and height wrong together by about a per
// cent; two photos from different sides can. Photos of different phones or
// settings come back as they were.
func Together(a, b Found) (Found, Found) {
	if a.prior != b.prior || a.Layout.Name != b.Layout.Name {
		return a, b
	}
	p := pairFit{of: [2][]match{matches(a.flat), matches(b.flat)}, pr: a.prior}
	cams, ok := p.fit([2]Camera{a.Camera, b.Camera})
	if !ok {
		return a, b
	}
	a.Camera, b.Camera = cams[0], cams[1]
	a.Residual, b.Residual = a.residual(a.flat), b.residual(b.flat)
	return a, b
}

// pairFit is the least-squares problem of two cameras of one lens.
type pairFit struct {
	of [2][]match
	pr prior
}

// fit runs Levenberg-Marquardt on both cameras at once.
func (p pairFit) fit(cams [2]Camera) ([2]Camera, bool) {
	lambda := 1e-3
	res := p.residuals(cams)
	for range 40 {
		step, ok := p.step(cams, res, lambda)
		if !ok {
			return cams, false
		}
		next := p.moved(cams, step)
		r := p.residuals(next)
		was, is := norm2(res), norm2(r)
		if !(is < was) {
			if lambda *= 10; lambda > 1e8 {
				break
			}
			continue
		}
		cams, res, lambda = next, r, lambda/5
		if was-is < 1e-9*was {
			break
		}
	}
	return cams, cams[0].Eye().Z < 0 && cams[1].Eye().Z < 0
}

// residuals are the distances from seen to projected corners, in standard
// deviations and bounded in their pull as Huber's, then the pulls of the priors.
func (p pairFit) residuals(cams [2]Camera) []float64 {
	var out []float64
	for i := range cams {
		for _, m := range p.of[i] {
			d := r2.Sub(cams[i].Project(m.mm, 0), m.px)
			k := 1 / cornerPx
			if e := r2.Norm(d); e > huberPx {
				k *= math.Sqrt(huberPx*(2*e-huberPx)) / e
			}
			out = append(out, k*d.X, k*d.Y)
		}
	}
	a, b := p.lens(cams[0]), p.lens(cams[1])
	diagonal := math.Hypot(float64(p.pr.width), float64(p.pr.height))
	spread := [5]float64{p.pr.fSpread, k1Spread, k2Spread, centreSpread * diagonal, centreSpread * diagonal}
	same := [5]float64{sameF, sameK, sameK, sameCentre * diagonal, sameCentre * diagonal}
	for k := range a {
		// Two pulls of √2 the spread make one lens's prior.
		s := math.Sqrt2 * spread[k]
		out = append(out, a[k]/s, b[k]/s, (a[k]-b[k])/same[k])
	}
	return out
}

// lens is what is the camera's own, off its prior: log focal length,
// distortion, principal point.
func (p pairFit) lens(c Camera) [5]float64 {
	return [5]float64{math.Log(c.F / p.pr.f), c.K1, c.K2,
		c.Centre.X - float64(p.pr.width-1)/2, c.Centre.Y - float64(p.pr.height-1)/2}
}

// moved returns both cameras after a step.
func (p pairFit) moved(cams [2]Camera, d []float64) [2]Camera {
	for i := range cams {
		s := d[i*freedoms : (i+1)*freedoms]
		cams[i] = moved(cams[i], [parameters]float64(s[:parameters]))
		cams[i].Centre = r2.Add(cams[i].Centre, r2.Vec{X: s[parameters], Y: s[parameters+1]})
	}
	return cams
}

// step solves the damped normal equations, with forward differences.
func (p pairFit) step(cams [2]Camera, res []float64, lambda float64) ([]float64, bool) {
	const n = 2 * freedoms
	size := [freedoms]float64{1e-6, 1e-6, 1e-6, 1e-3, 1e-3, 1e-3, 1e-6, 1e-6, 1e-6, 1e-3, 1e-3}
	J := linalg.NewDense(len(res), n, nil)
	d := make([]float64, n)
	for k := range n {
		h := size[k%freedoms]
		d[k] = h
		for i, r := range p.residuals(p.moved(cams, d)) {
			J.Set(i, k, (r-res[i])/h)
		}
		d[k] = 0
	}
	var A linalg.SymDense
	A.SymOuterK(1, J.T())
	for k := range n {
		A.SetSym(k, k, A.At(k, k)*(1+lambda)+1e-12)
	}
	var g, x linalg.VecDense
	g.MulVec(J.T(), linalg.NewVecDense(len(res), res))
	var chol linalg.Cholesky
	if !chol.Factorize(&A) || chol.SolveVecTo(&x, &g) != nil {
		return nil, false
	}
	for k := range d {
		d[k] = -x.AtVec(k)
	}
	return d, true
}

func norm2(v []float64) (s float64) {
	for _, x := range v {
		s += x * x
	}
	return s
}
