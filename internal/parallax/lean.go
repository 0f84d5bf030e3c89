package parallax

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// Side is a long side of a slice as seen: its outward normal, its middle on
// the mat plane, and how deep inside the outline the light changes, where that
// is seen.
type Side struct {
	Normal, Mid r2.Vec
	Depth       float64
	Sure        bool
}

// minDepth is the least depth at which a change of light can be told from the
// rounded edge itself, mm.
const minDepth = 0.9

// Lean estimates the run of a slice's walls from its two long sides, and the
// standard uncertainty of its length in mm.
//
// On the side that faces the eye the whole wall is seen: from the lower edge
// to the upper one, which lands on the mat plane nearer the foot's far side by
// a = d·e/(H - e), d being the side's distance from the foot. So the light
// changes at the depth a + run there, counting the run outward. Where the upper
// edge hangs over, nothing is seen on that side; then the other side shows the
// wall at the depth run - a.
func Lean(sides [2]Side, eye Eye, edge float64) (run r2.Vec, u float64) {
	near, far := sides[0], sides[1]
	if offset(near, eye) > offset(far, eye) {
		near, far = far, near
	}
	k := edge / (eye.Height - edge)
	a := -k * offset(near, eye) // positive where the side truly faces the eye
	b := k * offset(far, eye)
	switch {
	case a < minDepth:
		return r2.Vec{}, 0.3 * edge // seen from above: the wall tells little, and matters little
	case near.Sure && near.Depth >= minDepth:
		return plausible(r2.Scale(near.Depth-a, near.Normal), edge), 0.4
	case far.Sure && far.Depth > minDepth:
		return plausible(r2.Scale(far.Depth+b, far.Normal), edge), 0.5
	case near.Sure && a > 1.2*minDepth:
		// The wall is missing where it would show, and none shows on the far
		// side: the run lies between what hides the one and bares the other.
		return plausible(r2.Scale((a+b)/2, far.Normal), edge), 0.6
	default:
		return r2.Vec{}, 0.5 * edge
	}
}

// offset is the distance from the eye's foot to the side along its normal: it
// is negative for a side that faces the eye.
func offset(s Side, eye Eye) float64 { return r2.Dot(r2.Sub(s.Mid, eye.Foot), s.Normal) }

// plausible limits a run to what a knife laid as flat as 25° leaves.
func plausible(run r2.Vec, edge float64) r2.Vec {
	most := edge / math.Tan(25*math.Pi/180)
	if l := r2.Norm(run); l > most {
		return r2.Scale(most/l, run)
	}
	return run
}

// Known is the run of walls whose length is known from the lay angle, mm: the
// side it leans to is taken from what is seen. Where nothing is seen of it the
// run is taken as none and its full length as the uncertainty.
func Known(seen r2.Vec, length float64) (run r2.Vec, u float64) {
	l := r2.Norm(seen)
	if l < 0.25*length {
		return r2.Vec{}, length
	}
	return r2.Scale(length/l, seen), 0.1 * length
}
