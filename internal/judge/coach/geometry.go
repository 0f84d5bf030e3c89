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

// A slice lies longer and wider than its face: beside the face lie the walls
// that lean as the blade was held. Its width is h / sin(phi) + t / tan(phi) for a
// block h high, and its length W / sin(theta) + t·sin(phi) / tan(theta) for a
// block W wide, since the block's upright side, cut at theta, leans out by that
// much. Both are
//
//	block / sin(angle) + wall / tan(angle),
//
// with the wall's thickness t for the width and t·sin(phi) for the length. With
// no wall they are the trade's L = W / sin(theta) and w = h / sin(phi), common
// practice, no source.

// EndWall is the wall's thickness, mm, that counts for a slice's length.
func EndWall(thickness, phi float64) float64 { return thickness * sine(phi) }

// Angle is the angle, degrees, at which a block of the given width or height
// gives slices that lie as long or wide as wanted: the form above solved for it, w
// sin(a) - t cos(a) = block, so a = atan(t/w) + asin(block / hypot(w, t)). It
// reports false when no angle does: the block is larger than the slice, or a size
// is not a positive number.
func Angle(want, wall, block float64) (deg float64, ok bool) {
	if !positive(want) || !positive(block) || !(wall >= 0) || math.IsInf(wall, 1) || block > want {
		return math.NaN(), false
	}
	a := math.Atan2(wall, want) + math.Asin(block/math.Hypot(want, wall))
	return math.Min(a*180/math.Pi, 90), true
}

// Turned is the angle, degrees, that brings a length or width from what it was at
// the angle used to what is wanted; the block need not be known. It reports false
// when no angle does.
func Turned(used, have, want, wall float64) (deg float64, ok bool) {
	return Angle(want, wall, blockOf(used, have, wall))
}

// blockOf is the width or height of the block, mm, that gave a slice which lies
// so long or wide: the form above solved for it.
func blockOf(used, have, wall float64) float64 {
	return have*sine(used) - wall*math.Cos(used*math.Pi/180)
}

// Pitch is the step along the block's axis, mm, between parallel cuts that
// leave slices of the given thickness: t / (sin(theta) sin(phi)).
func Pitch(thickness, theta, phi float64) float64 {
	return overSine(overSine(thickness, theta), phi)
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

// planTold and layTold report whether degrees of the plan or lay angle follow from
// what was told: the angle, or the block's size across it.
func (c Cut) planTold() bool { return usable(c.Theta) || positive(c.BlockWidth) }
func (c Cut) layTold() bool  { return usable(c.Phi) || positive(c.BlockHeight) }
