package plan

import "netagauge/internal/judge/coach"

// lean is how a size of a slice of given weight goes with the angle that makes
// it. On a plain bar a slice lies
//
//	h / sin(phi) + t / tan(phi)              wide and
//	W / sin(theta) + t sin(phi) / tan(theta) long:
//
// its face, and beside it the walls that lean as the blade did. The face grows
// as the blade is laid flatter, so that the thickness of a slice of given weight
// goes with the sine: t = k sin(angle), and both sizes are
//
//	base / sin(angle) + k cos(angle),
//
// which only falls as the angle grows.
type lean struct{ base, k float64 }

// leanOf is the lean of a slice cut at an angle, degrees, that has this size
// and a wall so thick, mm.
func leanOf(used, size, wall float64) lean {
	k := wall / sineDeg(used)
	_, cos := sincosDeg(used)
	return lean{(size - k*cos) * sineDeg(used), k}
}

func (l lean) size(deg float64) float64 {
	sin, cos := sincosDeg(deg)
	return l.base/sin + l.k*cos
}

// angle is that of the wanted size, found by halving; where there is none, the
// nearest that a blade can be held at, and false.
func (l lean) angle(want float64) (deg float64, ok bool) {
	switch {
	case l.base > want:
		return 90, false
	case l.size(minAngle) < want:
		return minAngle, false
	}
	lo, hi := minAngle, 90.0
	for hi-lo > 1e-6 {
		if mid := (lo + hi) / 2; l.size(mid) < want {
			hi = mid
		} else {
			lo = mid
		}
	}
	return hi, true
}

// onBar gives the angles that cut slices of a volume, mm³, from a plain bar to
// the target's length and width. Each angle changes the thickness, and so the
// other angle a little; they settle in a few rounds. A bar too slight for a face
// of the target's size has none: what reaches that size with its walls alone is
// a chunk and no slice.
func onBar(width, height, volume float64, t coach.Target) (theta, phi float64, ok bool) {
	theta, okT := coach.Angle(t.LengthAim, 0, width)
	phi, okP := coach.Angle(t.WidthAim, 0, height)
	if !okT || !okP || theta < minAngle || phi < minAngle {
		return 0, 0, false
	}
	thick := volume / (width * height) // by both sines
	for range 20 {
		theta, okT = lean{width, thick * sineDeg(phi) * sineDeg(phi)}.angle(t.LengthAim)
		phi, okP = lean{height, thick * sineDeg(theta)}.angle(t.WidthAim)
	}
	return theta, phi, okT && okP
}
