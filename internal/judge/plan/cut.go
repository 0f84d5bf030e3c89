package plan

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"netagauge/internal/core/solid"
)

// knife is how the blade is held, degrees.
type knife struct{ theta, phi float64 }

// plane is a cut. Its normal points into the uncut block. The trace's far end
// lies nearer the start than its near end, and the blade leans into the block: a
// right-handed cook draws it so from the left end.
type plane struct {
	knife
	solid.Plane
}

// at is the knife's plane through a point.
func (k knife) at(p r3.Vec) plane {
	sinT, cosT := sincosDeg(k.theta)
	sinP, cosP := sincosDeg(k.phi)
	n := r3.Vec{X: sinT * sinP, Y: cosT * sinP, Z: -cosP}
	return plane{k, solid.Plane{N: n, D: r3.Dot(n, p)}}
}

// axes of the plane: along the blade's trace and up the blade.
func (k knife) axes() (along, up r3.Vec) {
	sinT, cosT := sincosDeg(k.theta)
	sinP, cosP := sincosDeg(k.phi)
	return r3.Vec{X: -cosT, Y: sinT}, r3.Vec{X: sinT * cosP, Y: cosT * cosP, Z: sinP}
}

// sincosDeg is exact at 90 degrees, so that an upright blade is upright.
func sincosDeg(deg float64) (sin, cos float64) {
	if deg == 90 {
		return 1, 0
	}
	return math.Sincos(deg * math.Pi / 180)
}

// crossing is the x at which the plane meets a line along the block, a share of
// the way from its near side to its far one, on top or on the board; beyond the
// block's ends the line runs straight on.
func (b Block) crossing(c plane, share float64, top bool) float64 {
	beyond := func(x float64) float64 { return c.Beyond(b.point(x, share, top)) }
	at := func(x float64) float64 { return x - beyond(x)/c.N.X } // where a line along x meets it
	if beyond(0) > 0 {
		return at(0)
	}
	for i, s := range b.stations[1:] {
		if l := beyond(s.X); l > 0 {
			from := b.stations[i].X
			k := beyond(from)
			return from + (s.X-from)*k/(k-l)
		}
	}
	return at(b.Length())
}

// reach gives the stretches, numbered by the station at their end, that may lie
// beyond one plane and before the other: to is the first that does not.
func (b Block) reach(last, c plane) (from, to int) {
	lo, _ := b.spread(last)
	_, hi := b.spread(c)
	at := func(x float64) int {
		i, _ := slices.BinarySearchFunc(b.stations, x, func(s Station, x float64) int { return cmp.Compare(s.X, x) })
		return i
	}
	const room = 1e-6 // mm, for rounding
	return max(at(lo-room), 1), min(at(hi+room)+1, len(b.stations))
}

// spread is the stretch of x within which the plane may cross the block.
func (b Block) spread(c plane) (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for _, y := range []float64{b.box.Near, b.box.Far} {
		for _, z := range []float64{0, b.box.Height} {
			x := (c.D - c.N.Y*y - c.N.Z*z) / c.N.X
			lo, hi = min(lo, x), max(hi, x)
		}
	}
	return lo, hi
}

// massBefore is the block's mass on the start's side of the plane.
func (b Block) massBefore(c plane) solid.Mass {
	from, to := b.reach(c, c)
	if from >= len(b.stations) {
		return b.before[len(b.before)-1]
	}
	if to <= from {
		return b.before[from-1]
	}
	return b.before[from-1].Plus(b.body[b.first[from-1]:b.first[to-1]].Before(c.Plane))
}

// slab is what lies between two cuts as it lies on the second one's face; from
// a cut to itself it is the bare face.
func (b Block) slab(last, c plane) [][]r2.Vec {
	from, to := b.reach(last, c)
	if from >= to {
		return nil
	}
	along, up := c.axes()
	return b.body[b.first[from-1]:b.first[to-1]].Slab(last.Plane, c.Plane, along, up)
}

// crossed reports whether two cuts meet within the block: then there is no
// slice between them.
func (b Block) crossed(last, c plane) bool {
	const touch = 1e-6 // mm
	for _, part := range b.slab(c, c) {
		for _, p := range part {
			along, up := c.axes()
			at := r3.Add(r3.Scale(c.D, c.N), r3.Add(r3.Scale(p.X, along), r3.Scale(p.Y, up)))
			if last.Beyond(at) < -touch {
				return true
			}
		}
	}
	return false
}
