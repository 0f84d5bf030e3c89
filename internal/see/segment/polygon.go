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

// A stretch of an outline, from spurFrom to spurTo mm, whose ends lie nearer to each
// other than so large a share of it is a spur or a notch: a gleam beside a slice, or a
// streak on it. No corner of a slice is so sharp: a share of a quarter is one of 29°.
const (
	spurFrom, spurTo = 2.5, 15.0
	spurShare        = 0.25
)

// withoutSpurs is an outline less its spurs and notches; itself where it has none.
func withoutSpurs(o []r2.Vec) []r2.Vec {
	even := resample(o, stepMM)
	if kept := unspurred(even); len(kept) < len(even) {
		return picked(even, kept)
	}
	return o
}

// unspurred are the numbers of an outline's points less those of its spurs and
// notches, loops among them.
func unspurred(o []r2.Vec) []int {
	n := len(o)
	spur := make([]bool, n)
	for i := range o {
		if spur[i] {
			continue
		}
		last, path := 0, 0.0
		for k := 1; k < n/2 && path < spurTo; k++ {
			path += r2.Norm(r2.Sub(o[(i+k)%n], o[(i+k-1)%n]))
			if path >= spurFrom && r2.Norm(r2.Sub(o[(i+k)%n], o[i])) < spurShare*path {
				last = k
			}
		}
		for k := 1; k < last; k++ {
			spur[(i+k)%n] = true
		}
	}
	var out []int
	for i, s := range spur {
		if !s {
			out = append(out, i)
		}
	}
	return out
}

// picked are the elements of so many numbers.
func picked[T any](v []T, numbers []int) []T {
	out := make([]T, len(numbers))
	for i, n := range numbers {
		out[i] = v[n]
	}
	return out
}
