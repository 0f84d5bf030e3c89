package segment

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// resample returns points about every step mm along a closed polygon.
func resample(poly []r2.Vec, step float64) []r2.Vec {
	var length float64
	for i, p := range poly {
		length += r2.Norm(r2.Sub(poly[(i+1)%len(poly)], p))
	}
	n := max(24, int(length/step))
	out := make([]r2.Vec, 0, n)
	want, done := 0.0, 0.0
	for i, p := range poly {
		q := poly[(i+1)%len(poly)]
		d := r2.Norm(r2.Sub(q, p))
		for ; want <= done+d && len(out) < n; want += length / float64(n) {
			f := 0.0
			if d > 0 {
				f = (want - done) / d
			}
			out = append(out, r2.Add(p, r2.Scale(f, r2.Sub(q, p))))
		}
		done += d
	}
	return out
}

// smooth averages each point with its neighbours, binomially, rounds times: it
// takes the staircase of pixels off a contour.
func smooth(poly []r2.Vec, rounds int) []r2.Vec {
	n := len(poly)
	for range rounds {
		next := make([]r2.Vec, n)
		for i, p := range poly {
			a, b := poly[(i+n-1)%n], poly[(i+1)%n]
			next[i] = r2.Add(r2.Scale(0.5, p), r2.Scale(0.25, r2.Add(a, b)))
		}
		poly = next
	}
	return poly
}

// normals pairs each point with its outward normal; the polygon may run either
// way.
func normals(poly []r2.Vec) []point {
	n := len(poly)
	sign := 1.0
	if signedArea(poly) < 0 {
		sign = -1
	}
	pts := make([]point, n)
	for i, p := range poly {
		d := r2.Sub(poly[(i+2)%n], poly[(i+n-2)%n])
		if l := r2.Norm(d); l > 0 {
			d = r2.Scale(sign/l, d)
		}
		pts[i] = point{at: p, normal: r2.Vec{X: d.Y, Y: -d.X}}
	}
	return pts
}

// signedArea is positive when the polygon turns clockwise on the screen (y
// down).
func signedArea(poly []r2.Vec) float64 {
	var s float64
	for i, p := range poly {
		s += r2.Cross(p, poly[(i+1)%len(poly)])
	}
	return s / 2
}

// hull returns the convex hull (Andrew's monotone chain, 1979).
func hull(poly []r2.Vec) []r2.Vec {
	ps := slices.Clone(poly)
	slices.SortFunc(ps, func(a, b r2.Vec) int { return cmp.Or(cmp.Compare(a.X, b.X), cmp.Compare(a.Y, b.Y)) })
	half := func(in []r2.Vec) []r2.Vec {
		var out []r2.Vec
		for _, p := range in {
			for len(out) >= 2 && r2.Cross(r2.Sub(out[len(out)-1], out[len(out)-2]), r2.Sub(p, out[len(out)-1])) <= 0 {
				out = out[:len(out)-1]
			}
			out = append(out, p)
		}
		return out[:max(0, len(out)-1)]
	}
	lower := half(ps)
	slices.Reverse(ps)
	return append(lower, half(ps)...)
}

// median returns the middle value, NaN for none.
func median(v []float64) float64 {
	if len(v) == 0 {
		return math.NaN()
	}
	s := slices.Sorted(slices.Values(v))
	return s[len(s)/2]
}
