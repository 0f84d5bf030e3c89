// Package shapetest makes outlines whose measures are known in closed form, for
// tests. Sizes are in mm; outlines are centred on the origin, long axis along x,
// until Placed.
package shapetest

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/shape"
)

// Parallelogram has two edges of the given length along x, the given distance
// apart, shifted against each other by shift. Its area is length · width.
func Parallelogram(length, width, shift float64) shape.Outline {
	l, w, s := length/2, width/2, shift/2
	return dense(shape.Outline{{X: -l - s, Y: -w}, {X: l - s, Y: -w}, {X: l + s, Y: w}, {X: -l + s, Y: w}})
}

// Trapezoid narrows from wide to narrow along its length. Its area is length ·
// (wide + narrow) / 2.
func Trapezoid(length, wide, narrow float64) shape.Outline {
	l := length / 2
	return dense(shape.Outline{{X: -l, Y: -wide / 2}, {X: l, Y: -narrow / 2}, {X: l, Y: narrow / 2}, {X: -l, Y: wide / 2}})
}

// Ellipse has the given axes; its area is π/4 · length · width, less what n
// chords cut off.
func Ellipse(length, width float64, n int) shape.Outline {
	o := make(shape.Outline, n)
	for i := range o {
		s, c := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		o[i] = r2.Vec{X: length / 2 * c, Y: width / 2 * s}
	}
	return o
}

// Placed turns an outline by an angle in degrees and moves it.
func Placed(o shape.Outline, deg float64, at r2.Vec) shape.Outline {
	s, c := math.Sincos(deg * math.Pi / 180)
	out := make(shape.Outline, len(o))
	for i, p := range o {
		out[i] = r2.Vec{X: at.X + c*p.X - s*p.Y, Y: at.Y + s*p.X + c*p.Y}
	}
	return out
}

// dense puts ten points on every edge.
func dense(o shape.Outline) shape.Outline {
	const n = 10
	var out shape.Outline
	for i, p := range o {
		q := o[(i+1)%len(o)]
		for k := range n {
			out = append(out, r2.Add(p, r2.Scale(float64(k)/n, r2.Sub(q, p))))
		}
	}
	return out
}
