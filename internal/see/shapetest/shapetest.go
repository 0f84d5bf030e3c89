// Package shapetest makes outlines whose measures are known in closed form, for
// tests. Sizes are in mm, areas in mm²; outlines are centred on the origin, long
// side along x, until Placed. It is for tests only and measures nothing.
package shapetest

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/see/shape"
)

// Rectangle has the area length · width.
func Rectangle(length, width float64) shape.Outline { return Parallelogram(length, width, 0) }

// Parallelogram has two edges of the given length along x, the given distance
// apart, shifted against each other by shift: its other edges lean by
// atan(shift/width). Its area is length · width.
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

// Triangle has a side of the given length along x and a third corner above its
// middle at the given height. Its area is length · height / 2.
func Triangle(length, height float64) shape.Outline {
	l, h := length/2, height/3
	return dense(shape.Outline{{X: -l, Y: -h}, {X: l, Y: -h}, {Y: 2 * h}})
}

// RoundedRectangle has quarter circles of the given radius for corners, each of
// n chords. Its area is length · width - (4-π) · radius², less what the chords
// cut off: radius² · (π - 2n · sin(π/2n)).
func RoundedRectangle(length, width, radius float64, n int) shape.Outline {
	var o shape.Outline
	for q, sign := range [4]r2.Vec{{X: 1, Y: 1}, {X: -1, Y: 1}, {X: -1, Y: -1}, {X: 1, Y: -1}} {
		for k := range n + 1 {
			s, c := math.Sincos(math.Pi / 2 * (float64(q) + float64(k)/float64(n)))
			o = append(o, r2.Vec{X: sign.X*(length/2-radius) + radius*c, Y: sign.Y*(width/2-radius) + radius*s})
		}
	}
	return o
}

// Ellipse has the given axes. Its area is that of the inscribed polygon,
// n/8 · length · width · sin(2π/n), which tends to π/4 · length · width.
func Ellipse(length, width float64, n int) shape.Outline {
	o := make(shape.Outline, n)
	for i := range o {
		s, c := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		o[i] = r2.Vec{X: length / 2 * c, Y: width / 2 * s}
	}
	return o
}

// Placed turns an outline by an angle in degrees, from x towards y, and moves
// it.
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
