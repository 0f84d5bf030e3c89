// Package coach turns measured slices into what to change with the knife.
// Lengths are in mm, areas in mm², weights in g, angles in degrees. The plan
// angle theta lies on the board between the knife's line and the block's long
// axis; the lay angle phi lies between blade and board, 90 for an upright
// blade. It gives one sentence for one fault of a piece and a few, the most
// valuable first, for the tray. It never judges a piece against a standard's
// guard band, and it never advises an angle that does not exist.
package coach

import "math"

// DefaultTheta is the plan angle taken when none is told (common practice, no
// source).
const DefaultTheta = 45.0

// usualThickness stands in for a thickness that nobody told, mm, where only the
// strip of leaning wall depends on it: slices are 3 to 6 mm, common practice, no
// source.
const usualThickness = 4.0

// minAngle is the smallest angle worth advising, degrees: below it L = W /
// sin(theta) asks for a cut no block is long enough for, and a blade laid
// flatter slides over the flesh. Our setting.
const minAngle = 15.0

// Theta is the plan angle, degrees, that cuts slices of the given length from
// a block of the given width: asin(W/L), since L = W / sin(theta). It reports
// false when no angle does: the block is wider than the slice is long, or a
// size is not a positive number.
func Theta(length, blockWidth float64) (deg float64, ok bool) {
	return asinRatio(blockWidth, length)
}

// Phi is the lay angle, degrees, that cuts slices of the given width from a
// block of the given height: asin(h/w), since w = h / sin(phi). It reports
// false when no angle does: the block is higher than the slice is wide, or a
// size is not a positive number.
func Phi(width, blockHeight float64) (deg float64, ok bool) {
	return asinRatio(blockHeight, width)
}

// Length of a slice, mm, cut at the plan angle theta from a block of the given
// width: W / sin(theta). NaN unless 0 < theta <= 90.
func Length(blockWidth, theta float64) float64 { return overSine(blockWidth, theta) }

// Width of a slice's face, mm, cut at the lay angle phi from a block of the
// given height: h / sin(phi). NaN unless 0 < phi <= 90.
func Width(blockHeight, phi float64) float64 { return overSine(blockHeight, phi) }

// Pitch is the step along the block's axis, mm, between parallel cuts that
// leave slices of the given thickness: t / (sin(theta) sin(phi)).
func Pitch(thickness, theta, phi float64) float64 {
	return overSine(overSine(thickness, theta), phi)
}

// OutlineWidth of a slice as it lies, mm: its face h / sin(phi) and, beside it,
// the strip t / tan(phi) of the wall that leans as the blade did. NaN unless
// 0 < phi <= 90.
func OutlineWidth(blockHeight, thickness, phi float64) float64 {
	return overSine(blockHeight+thickness*math.Cos(phi*math.Pi/180), phi)
}

// Lay is the lay angle, degrees, at which a block of the given height gives
// slices that lie as wide as wanted, wall and all. OutlineWidth solved for phi:
// w sin(phi) - t cos(phi) = h, so phi = atan(t/w) + asin(h / hypot(w, t)). It
// reports false when no angle does: the block is higher than the slice is wide.
func Lay(width, thickness, blockHeight float64) (deg float64, ok bool) {
	if !positive(width) || !positive(blockHeight) || !(thickness >= 0) || math.IsInf(thickness, 1) || blockHeight > width {
		return math.NaN(), false
	}
	phi := math.Atan2(thickness, width) + math.Asin(blockHeight/math.Hypot(width, thickness))
	return math.Min(phi*180/math.Pi, 90), true
}

// Relaid is the lay angle, degrees, that brings the outline's width from what
// it was at the angle used to what is wanted; the block's height need not be
// known. It reports false when no angle does.
func Relaid(used, have, want, thickness float64) (deg float64, ok bool) {
	return Lay(want, thickness, heightOf(used, have, thickness))
}

// heightOf the block, mm, that gave an outline of this width: OutlineWidth
// solved for h.
func heightOf(used, width, thickness float64) float64 {
	return width*sine(used) - thickness*math.Cos(used*math.Pi/180)
}

// Turned is the angle, degrees, that changes a size measured at the angle used
// into the size wanted: sin(used) · have/want. It serves length, and the width
// of a face, as neither the block's width nor its height need be known. It
// reports false when no angle does.
func Turned(used, have, want float64) (deg float64, ok bool) {
	return asinRatio(have*sine(used), want)
}

func asinRatio(opposite, hypotenuse float64) (float64, bool) {
	if !positive(opposite) || !positive(hypotenuse) || opposite > hypotenuse {
		return math.NaN(), false
	}
	return math.Asin(opposite/hypotenuse) * 180 / math.Pi, true
}

func overSine(v, deg float64) float64 {
	if !(deg > 0 && deg <= 90) {
		return math.NaN()
	}
	return v / sine(deg)
}

func sine(deg float64) float64 { return math.Sin(deg * math.Pi / 180) }

// positive reports whether v is an ordinary number above zero.
func positive(v float64) bool { return v > 0 && !math.IsInf(v, 1) }
