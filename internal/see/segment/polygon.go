package segment

import (
	"netagauge/internal/core/solid"

	"gonum.org/v1/gonum/spatial/r2"
)

// resample returns points about every step mm along a closed polygon.
func resample(poly []r2.Vec, step float64) []r2.Vec {
	length := perimeter(poly)
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

func perimeter(poly []r2.Vec) (length float64) {
	for i, p := range poly {
		length += r2.Norm(r2.Sub(poly[(i+1)%len(poly)], p))
	}
	return length
}

// smooth averages each point with its neighbours, binomially, rounds times: it
// takes the staircase of pixels off a contour.
func smooth(poly []r2.Vec, rounds int) []r2.Vec {
	n := len(poly)
	for range rounds {
		next := make([]r2.Vec, n)
		for i, p := range poly {
			a, b := poly[(i+n-1)%n], poly[(i+1)%n]
			// Weights of a binomial filter.
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
	if solid.SignedArea(poly) < 0 {
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
