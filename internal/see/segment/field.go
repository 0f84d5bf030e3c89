package segment

import (
	"image"
	"math"
	"netagauge/internal/core/rank"
)

// field is what the bare mat looks like in this photo: brightness and the two
// colour differences as smooth functions of place, since light is uneven.
// Colour differences are divided by brightness, so that a shadow, which scales
// all three together, does not look like another colour.
type field struct {
	coef   [3][6]float64 // brightness, b, r: 1, x, y, xx, xy, yy with x, y in -1..1
	w, h   int
	chroma float64 // typical distance of the field's colour from gray
	noise  float64 // robust spread of the colour about the model
}

// dim keeps the ratio of colour to brightness finite in the dark.
const dim = 8

// ratios returns brightness and the colour differences divided by it.
func ratios(y, cb, cr uint8) (l, b, r float64) {
	l = float64(y) + dim
	return l, (float64(cb) - 128) / l, (float64(cr) - 128) / l
}

// basis holds the quadratic's terms at a place of the picture.
func (f *field) basis(x, y int) [6]float64 {
	u, v := 2*float64(x)/float64(f.w)-1, 2*float64(y)/float64(f.h)-1
	return [6]float64{1, u, v, u * u, u * v, v * v}
}

func dot6(a, b [6]float64) float64 {
	var s float64
	for i := range a {
		s += a[i] * b[i]
	}
	return s
}

// at returns the bare mat's brightness and colour at a place.
func (f *field) at(x, y int) (l, b, r float64) {
	t := f.basis(x, y)
	return dot6(f.coef[0], t), dot6(f.coef[1], t), dot6(f.coef[2], t)
}

// line is the model along one row: 1, u, uu for each of brightness, b and r, with u
// from -1 to 1.
type line [3][3]float64

func (f *field) along(y int) (l line) {
	v := 2*float64(y)/float64(f.h) - 1
	for k, c := range f.coef {
		l[k] = [3]float64{c[0] + v*(c[2]+v*c[5]), c[1] + v*c[4], c[3]}
	}
	return l
}

func (a *line) at(u float64) (l, b, r float64) {
	return a[0][0] + u*(a[0][1]+u*a[0][2]), a[1][0] + u*(a[1][1]+u*a[1][2]), a[2][0] + u*(a[2][1]+u*a[2][2])
}

// learn fits the field on a sparse grid of the picture, which shows the field
// only. It starts from the most common colour and, in rounds, keeps what lies
// near the fitted surface.
func learn(p *image.YCbCr) *field {
	f := &field{w: p.Rect.Dx(), h: p.Rect.Dy()}
	ss := gather(p)
	b0, r0 := commonColour(ss)
	for i := range ss {
		// As far apart in colour as one field gets by uneven light; our setting.
		ss[i].in = math.Hypot(ss[i].v[1]-b0, ss[i].v[2]-r0) < 0.12
	}
	f.chroma = math.Hypot(b0, r0)
	for range 4 {
		f.fit(ss)
		f.noise = f.spread(ss)
		for i, s := range ss {
			l, b, r := dot6(f.coef[0], s.t), dot6(f.coef[1], s.t), dot6(f.coef[2], s.t)
			near := math.Hypot(s.v[1]-b, s.v[2]-r) < math.Max(0.05, 4*f.noise) // four standard deviations, and no less than JPEG leaves
			ss[i].in = near && math.Abs(math.Log(s.v[0]/math.Max(l, 1))) < 0.3 // a third brighter, or a quarter darker, is print, glare or shadow
		}
	}
	return f
}

// spot is one grid place: the quadratic's terms there and what is seen.
type spot struct {
	t  [6]float64
	v  [3]float64
	in bool
}

func gather(p *image.YCbCr) []spot {
	f := field{w: p.Rect.Dx(), h: p.Rect.Dy()}
	const step = 13 // px; the fitted surface has 6 terms
	ss := make([]spot, 0, (f.w/step)*(f.h/step))
	for y := step; y < f.h-step; y += step {
		for x := step; x < f.w-step; x += step {
			i := y*p.YStride + x
			l, b, r := ratios(p.Y[i], p.Cb[i], p.Cr[i])
			ss = append(ss, spot{t: f.basis(x, y), v: [3]float64{l, b, r}})
		}
	}
	return ss
}

// commonColour is the centre of the fullest cell of a coarse colour histogram,
// refined by the mean of what lies about it: bare mat covers more of the field
// than any one kind of fish.
func commonColour(ss []spot) (b, r float64) {
	const cell = 0.06
	count := map[[2]int]int{}
	var best [2]int
	for _, s := range ss {
		k := [2]int{int(math.Floor(s.v[1] / cell)), int(math.Floor(s.v[2] / cell))}
		if count[k]++; count[k] > count[best] {
			best = k
		}
	}
	b, r = (float64(best[0])+0.5)*cell, (float64(best[1])+0.5)*cell
	for range 4 {
		var sb, sr, n float64
		for _, s := range ss {
			if math.Hypot(s.v[1]-b, s.v[2]-r) < 1.5*cell { // the fullest cell and half of each beside it
				sb, sr, n = sb+s.v[1], sr+s.v[2], n+1
			}
		}
		if n > 0 {
			b, r = sb/n, sr/n
		}
	}
	return b, r
}

// spread is the robust standard deviation of the colour about the model.
func (f *field) spread(ss []spot) float64 {
	var d []float64
	for _, s := range ss {
		if s.in {
			d = append(d, math.Hypot(s.v[1]-dot6(f.coef[1], s.t), s.v[2]-dot6(f.coef[2], s.t)))
		}
	}
	if len(d) == 0 {
		return 0.05 // no field: as much as JPEG leaves
	}
	return rank.Median(d) / 1.1774 // median of a Rayleigh distribution
}

// fit solves the three least-squares quadratics over the spots kept.
func (f *field) fit(ss []spot) {
	var A [6][6]float64
	var g [3][6]float64
	for _, s := range ss {
		if !s.in {
			continue
		}
		for i := range 6 {
			for j := range 6 {
				A[i][j] += s.t[i] * s.t[j]
			}
			for c := range 3 {
				g[c][i] += s.t[i] * s.v[c]
			}
		}
	}
	for i := range 6 {
		A[i][i] += 1e-3 // a corner without bare mat must not bend the surface
	}
	for c := range 3 {
		f.coef[c] = solve6(A, g[c])
	}
}

// solve6 solves A x = g for a symmetric positive definite A by elimination.
func solve6(A [6][6]float64, g [6]float64) [6]float64 {
	for i := range 6 {
		for k := i + 1; k < 6; k++ {
			m := A[k][i] / A[i][i]
			for j := i; j < 6; j++ {
				A[k][j] -= m * A[i][j]
			}
			g[k] -= m * g[i]
		}
	}
	for i := 5; i >= 0; i-- {
		for j := i + 1; j < 6; j++ {
			g[i] -= A[i][j] * g[j]
		}
		g[i] /= A[i][i]
	}
	return g
}
