// Package parallax turns the outlines of a solid as cameras off to the side see
// it into its outline as seen from straight above. It speaks mm in the mat frame
// (x right, y down), heights upward from the mat, and is pure geometry.
package parallax

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// Eye is the camera's foot point on the mat and its height above it, mm.
type Eye struct {
	Foot   r2.Vec
	Height float64
}

// View is an outline as it lands on the mat plane, and the eye that saw it.
type View struct {
	Outline []r2.Vec
	Eye     Eye
}

// Solid is what is known of a slice's sides: the height of its upper edge over
// each place, mm, and the lean of its walls: the vector by which the lower edge
// lies off the upper one for each mm of height, zero for a knife held upright.
// A bar cut by two planes has the same lean all around, along the bar.
type Solid struct {
	Height func(p r2.Vec) float64
	Lean   r2.Vec
}

// Upright is a solid with upright walls and a level top.
func Upright(height float64) Solid {
	return Solid{Height: func(r2.Vec) float64 { return height }}
}

// run is by how far the lower edge lies off the upper one at a place.
func (s Solid) run(p r2.Vec) r2.Vec { return r2.Scale(s.Height(p), s.Lean) }

// Outlines are those of a slice seen from straight above: Face is the upper
// cut face, Whole adds the strip of leaning wall.
type Outlines struct {
	Face, Whole []r2.Vec
	face        star
}

// Above recovers the outlines from those seen on the mat plane.
//
// The solid is the face swept down to its lower edge. Seen from an eye, the
// face lands on the mat plane moved away from the foot by the factor
// H/(H - h), the lower edge stays at its run, and the outline seen is the face
// swept from one to the other. Taking a seen outline back by each of the two
// and keeping what both share gives the face again: exactly for a convex
// slice, since a point in both lies between two points of the face. What
// several eyes see gives the same face, so the mean of them is taken.
func Above(views []View, s Solid) (Outlines, error) {
	out, err := FaceAbove(views, s)
	if err == nil {
		out.Sweep(s)
	}
	return out, err
}

// Sweep sets the whole outline: the face on its way to the lower edge.
func (o *Outlines) Sweep(s Solid) {
	o.Whole = o.Face
	if r2.Norm(s.Lean) > 1e-9 {
		o.Whole = s.swept(o.Face)
	}
}

// FaceAbove is Above without the whole outline.
func FaceAbove(views []View, s Solid) (Outlines, error) {
	back := make([][2][]r2.Vec, len(views))
	var all [][]r2.Vec
	for k, v := range views {
		upper, lower := make([]r2.Vec, len(v.Outline)), make([]r2.Vec, len(v.Outline))
		for i, p := range v.Outline {
			u, ok := s.fromUpper(p, v.Eye)
			if !ok {
				return Outlines{}, fmt.Errorf("camera height %.0f mm is too low for an edge %.1f mm high", v.Eye.Height, s.Height(p))
			}
			upper[i], lower[i] = u, s.fromLower(p)
		}
		back[k] = [2][]r2.Vec{upper, lower}
		all = append(all, upper, lower)
	}
	face := star{middle: mean(all...)}
	for _, b := range back {
		f, lower := starOf(b[0], face.middle), starOf(b[1], face.middle)
		f.keep(&lower)
		face.add(&f, 1/float64(len(back)))
	}
	if face.least() <= 0 {
		return Outlines{}, errNothing
	}
	return Outlines{Face: face.outline(), face: face}, nil
}

var errNothing = errors.New("nothing is left of the outline")

// rounds is how often a place is put right by the height over it; each time the
// error shrinks by the slope of the top times the lean, a tenth or less.
const rounds = 5

// fromUpper is the place of the upper edge that lands at q. It cannot be told
// where the edge is not well below the eye.
func (s Solid) fromUpper(q r2.Vec, eye Eye) (r2.Vec, bool) {
	p := q
	for range rounds {
		h := s.Height(p)
		if !(eye.Height > 2*h) || !(h >= 0) {
			return p, false
		}
		was := p
		if p = r2.Add(eye.Foot, r2.Scale(1-h/eye.Height, r2.Sub(q, eye.Foot))); p == was {
			break
		}
	}
	return p, true
}

// fromLower is the place of the upper edge whose lower edge lies at q.
func (s Solid) fromLower(q r2.Vec) r2.Vec {
	p := q
	for range rounds {
		was := p
		if p = r2.Sub(q, s.run(p)); p == was {
			break
		}
	}
	return p
}

// swept is the union of a face on its way to the lower edge.
func (s Solid) swept(face []r2.Vec) []r2.Vec {
	var buf [rays]r2.Vec
	lower := buf[:len(face)]
	for i, p := range face {
		lower[i] = r2.Add(p, s.run(p))
	}
	out := star{middle: mean(face, lower)}
	out.sweep(face, lower)
	return out.outline()
}

// sweep takes in an outline on its way to another. Each of its edges sweeps a strip,
// and what has a strip or an outline on either side is no border: of an edge that
// moves outward that is its start, of one that moves inward its end, and the way of a
// corner unless one of its edges moves outward and the other inward.
func (s *star) sweep(upper, lower []r2.Vec) {
	last := len(upper) - 1
	before := moves(upper[last], upper[0], lower[last], lower[0])
	up, down := s.corner(upper[0], 0), s.corner(lower[0], 0)
	for i := range upper {
		next := (i + 1) % len(upper)
		nextUp, nextDown := s.corner(upper[next], up.ray), s.corner(lower[next], down.ray)
		now := moves(upper[i], upper[next], lower[i], lower[next])
		if now != outward {
			s.take(up, nextUp)
		}
		if now != inward {
			s.take(down, nextDown)
		}
		if now != before || now == eitherWay {
			s.take(up, down)
		}
		before, up, down = now, nextUp, nextDown
	}
}

// way is which way an edge of a face moves.
type way int

const (
	eitherWay way = iota
	outward
	inward
)

// moves tells which way the edge from a to b of a face, which a star's outline goes
// around with growing angles, moves to that from c to d.
func moves(a, b, c, d r2.Vec) way {
	turns := [4]float64{
		r2.Cross(r2.Sub(b, a), r2.Sub(d, b)), r2.Cross(r2.Sub(d, b), r2.Sub(c, d)),
		r2.Cross(r2.Sub(c, d), r2.Sub(a, c)), r2.Cross(r2.Sub(a, c), r2.Sub(b, a)),
	}
	switch {
	case slices.Max(turns[:]) < 0:
		return outward
	case slices.Min(turns[:]) > 0:
		return inward
	}
	return eitherWay // along itself, or its ends move differently
}

func mean(outlines ...[]r2.Vec) r2.Vec {
	var sum r2.Vec
	n := 0.0
	for _, o := range outlines {
		for _, p := range o {
			sum = r2.Add(sum, p)
		}
		n += float64(len(o))
	}
	return r2.Scale(1/math.Max(n, 1), sum)
}
