package parallax

import "gonum.org/v1/gonum/spatial/r2"

// sink is the step, mm, in which a ray is followed down a wall.
const sink = 0.25

// hides is how much higher, mm, a ray must meet a solid before the solid hides what
// the ray was meant for; what lies so far below the top is a wall.
const hides = 2 * sink

// Spot is what a ray meets of a solid: the height, whether it is a wall, and
// whether the solid itself hides it from a second eye.
type Spot struct {
	Height       float64
	Wall, Hidden bool
}

// Spot is what the ray from eye a that would land at q on the mat meets, see Meets,
// and whether eye b sees it too.
func (o Outlines) Spot(s Solid, a, b Eye, q r2.Vec) Spot {
	h := o.Meets(s, a, q)
	place := r2.Add(a.Foot, r2.Scale(1-h/a.Height, r2.Sub(q, a.Foot)))
	lands := r2.Add(b.Foot, r2.Scale(b.Height/(b.Height-h), r2.Sub(place, b.Foot)))
	return Spot{h, h < s.Height(place)-hides, o.Meets(s, b, lands) > h+hides}
}

// Meets is the height at which the ray from an eye that would land at q on the mat
// meets the solid with these outlines: its face, or a wall that leans out; 0 where
// it meets neither. The solid's heights are here those of the face, from which the
// walls run down.
func (o Outlines) Meets(s Solid, eye Eye, q r2.Vec) float64 {
	at := func(h float64) r2.Vec { return r2.Add(eye.Foot, r2.Scale(1-h/eye.Height, r2.Sub(q, eye.Foot))) }
	top := s.Height(q)
	top = s.Height(at(top))
	for h := top; h > 0; h -= sink {
		// What lies lower by so much lies off the face by the same share of its run.
		if o.face.holds(r2.Sub(at(h), r2.Scale(top-h, s.Lean))) {
			return h
		}
	}
	return 0
}
