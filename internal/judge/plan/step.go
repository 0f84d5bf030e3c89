package plan

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// fill is the least share of a slice's face that the earlier cut's must have:
// with less the slice runs out thin to one end, as a first slice may that begins
// at the block's raw end. Our setting.
const fill = 0.7

// inHand is how much more than its swing a sure slice is given, so that it stays sure
// when it is looked at closely, and flat the least slope of a volume that is followed, as
// a share of the face. Our settings.
const inHand, flat = 1.02, 0.05

// cut is the next cut, with the knife held so, that frees the lightest slice
// within the standard, a sure one before others; else it returns the slice at
// the least weight, if any.
func (s search) cut(last plane, k knife) (to plane, found Slice, ok bool) {
	before, face := s.block.massBefore(last).Volume, areaOf(s.block.slab(last, last))
	if face == 0 {
		return to, found, false
	}
	weights := s.weights()
	for i := range weights {
		c, some := s.atVolume(last, k, before+s.volume(weights[i]))
		if !some {
			break
		}
		slice, some := s.house.slice(s.block, last, c)
		if face < fill*slice.FaceArea {
			break
		}
		if i == 0 {
			found = slice
			weights[1] += inHand * s.house.swing(slice)
		}
		if !some || len(slice.Off) > 0 && !s.worthThicker(slice) {
			break
		}
		if len(slice.Off) == 0 && (!ok || slice.Sure) && !s.block.crossed(last, c) {
			to, found, ok = c, slice, true
		}
		if ok && (slice.Sure || i > 0) {
			break
		}
	}
	return to, found, ok
}

// weights are tried for a slice, g: the least, as little more as a hand needs,
// and the greater ones whose walls lie broader.
func (s search) weights() [4]float64 {
	high := s.house.WeightFor(s.house.group).High
	least := band(s.weight, high, 1e-6)
	return [4]float64{least, least, band(s.weight, high, 1./3), band(s.weight, high, 2./3)}
}

// worthThicker reports whether a thicker slice may have a size that this one
// has not: its walls lie broader.
func (s search) worthThicker(t Slice) bool {
	return t.Length < s.house.Length.High && t.Width < s.house.Width.High &&
		t.Length > s.house.Length.Low-3 && t.Width > s.house.Width.Low-3
}

// atVolume slides a plane along the block until so much of it lies before. The
// volume before a plane only grows, so that bisection cannot miss; steps by the
// secant come first. ok is false when the block ends first.
func (s search) atVolume(last plane, k knife, want float64) (plane, bool) {
	if want > s.block.Volume() {
		return plane{}, false
	}
	c := k.at(r3.Vec{})
	lo, hi := s.block.body.Reach(c.N)
	face := s.house.Length.Aim * s.house.Width.Aim
	c.D = c.N.X*last.D/last.N.X + s.volume(s.weight)/face
	was, had := math.NaN(), 0.0
	for i := 0; hi-lo > 1e-9; i++ {
		if c.D <= lo || c.D >= hi || i%4 == 3 {
			c.D = (lo + hi) / 2
		}
		got := s.block.massBefore(c).Volume
		if math.Abs(got-want) < 1e-6*s.volume(s.weight) {
			break
		}
		if got < want {
			lo = c.D
		} else {
			hi = c.D
		}
		if slope := (got - had) / (c.D - was); slope > flat*face {
			face = slope
		}
		was, had = c.D, got
		c.D += (want - got) / face
	}
	return c, true
}
