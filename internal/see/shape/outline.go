// Package shape turns the outline of a slice into its measures: length, width,
// area, taper, width profile and rice cover. It speaks millimetres in the mat
// frame (x right, y down) and is pure geometry: no pixels, no tolerances.
package shape

import (
	"cmp"
	"math"
	"slices"

	"netagauge/internal/core/solid"

	"gonum.org/v1/gonum/spatial/r2"
)

// Outline is a closed polygon in mm, not self-crossing, first point not
// repeated, either direction of travel.
type Outline []r2.Vec

// Area is the enclosed area, mm².
func (o Outline) Area() float64 { return solid.Area(o) }

// Perimeter is the length of the closed outline, mm.
func (o Outline) Perimeter() float64 {
	var s float64
	for i, p := range o {
		s += r2.Norm(r2.Sub(o[(i+1)%len(o)], p))
	}
	return s
}

// Centroid is the centre of the enclosed area; NaN for an outline without one.
func (o Outline) Centroid() r2.Vec { return solid.Centroid(o) }

// Bounds is the smallest upright box around the outline.
func (o Outline) Bounds() r2.Box {
	b := r2.Box{Min: r2.Vec{X: math.Inf(1), Y: math.Inf(1)}, Max: r2.Vec{X: math.Inf(-1), Y: math.Inf(-1)}}
	for _, p := range o {
		b.Min = r2.Vec{X: min(b.Min.X, p.X), Y: min(b.Min.Y, p.Y)}
		b.Max = r2.Vec{X: max(b.Max.X, p.X), Y: max(b.Max.Y, p.Y)}
	}
	return b
}

// Hull is the convex hull.
func (o Outline) Hull() Outline { return solid.Hull(o) }

// axis is a unit vector at right angles to a hull's least caliper width, with x
// positive, or y positive where x is zero.
func (h Outline) axis() r2.Vec {
	best, axis := math.Inf(1), r2.Vec{X: 1}
	far := 0 // the vertex farthest from the edge; it goes around with it (Shamos 1978)
	for i, p := range h {
		d := r2.Sub(h[(i+1)%len(h)], p)
		if r2.Norm(d) < 1e-9 {
			continue
		}
		d = r2.Unit(d)
		off := func(k int) float64 { return r2.Cross(d, r2.Sub(h[k%len(h)], p)) }
		for far = max(far, i+1); far < 2*len(h) && off(far+1) >= off(far); far++ {
		}
		if width := off(far); width < best {
			best, axis = width, d
		}
	}
	if axis.X < 0 || axis.X == 0 && axis.Y < 0 {
		axis = r2.Scale(-1, axis)
	}
	return axis
}

// caliper is the extent of a hull square to a unit direction, mm.
func (h Outline) caliper(d r2.Vec) float64 {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, p := range h {
		v := r2.Cross(d, p)
		lo, hi = min(lo, v), max(hi, v)
	}
	return hi - lo
}

// LongAxis is the direction of the outline's length; see Measures.
func (o Outline) LongAxis() r2.Vec { return o.Hull().axis() }

// turned returns the outline in coordinates along and across a unit axis.
func (o Outline) turned(axis r2.Vec) Outline {
	across := r2.Vec{X: -axis.Y, Y: axis.X}
	out := make(Outline, len(o))
	for i, p := range o {
		out[i] = r2.Vec{X: r2.Dot(p, axis), Y: r2.Dot(p, across)}
	}
	return out
}

// swap exchanges x and y.
func (o Outline) swap() {
	for i, p := range o {
		o[i] = r2.Vec{X: p.Y, Y: p.X}
	}
}

// checkArea refuses what is no outline of an area.
func (o Outline) checkArea() error {
	if len(o) < 3 {
		return ErrTooFew
	}
	for _, p := range o {
		if !(math.Abs(p.X) < 1e6 && math.Abs(p.Y) < 1e6) {
			return ErrNotFinite
		}
	}
	if o.Area() < 1e-6 {
		return ErrNoArea
	}
	return nil
}

// IsSimple reports whether the outline neither crosses nor touches itself. A
// point repeated at once is let pass. Neighbours are not compared: where one runs
// back along the other, it meets the next edge but one. Edges are swept by x, so
// the usual outline of many short edges takes little time.
func (o Outline) IsSimple() bool {
	ends := o.edges()
	n := len(ends)
	type reach struct {
		lo, hi float64
		i      int
	}
	order := make([]reach, n)
	for i, e := range ends {
		order[i] = reach{min(e[0].X, e[1].X), max(e[0].X, e[1].X), i}
	}
	slices.SortFunc(order, func(a, b reach) int { return cmp.Compare(a.lo, b.lo) })
	for k, a := range order {
		for _, b := range order[k+1:] {
			if b.lo > a.hi {
				break
			}
			neighbours := b.i == (a.i+1)%n || a.i == (b.i+1)%n
			if !neighbours && meet(ends[a.i], ends[b.i]) {
				return false
			}
		}
	}
	return true
}

type segment [2]r2.Vec

// edges are the outline's sides of some length, in order.
func (o Outline) edges() []segment {
	out := make([]segment, 0, len(o))
	for i, p := range o {
		if q := o[(i+1)%len(o)]; q != p {
			out = append(out, segment{p, q})
		}
	}
	return out
}

// meet reports whether two segments have a point in common.
func meet(s, t segment) bool {
	a, b, c, d := s.side(t[0]), s.side(t[1]), t.side(s[0]), t.side(s[1])
	return a*b < 0 && c*d < 0 ||
		a == 0 && s.spans(t[0]) || b == 0 && s.spans(t[1]) || c == 0 && t.spans(s[0]) || d == 0 && t.spans(s[1])
}

// side is -1, 0 or 1: on which side of the line through the segment p lies.
func (s segment) side(p r2.Vec) int {
	return cmp.Compare(r2.Cross(r2.Sub(s[1], s[0]), r2.Sub(p, s[0])), 0)
}

// spans reports whether a point on the segment's line lies between its ends.
func (s segment) spans(p r2.Vec) bool {
	return r2.Dot(r2.Sub(p, s[0]), r2.Sub(p, s[1])) <= 0
}
