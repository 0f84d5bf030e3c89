package weight

import (
	"math"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/core/uncertainty"
)

// Lean is how far a slice's walls run sideways for each mm of its thickness,
// cot φ: 0 for upright walls. Remedy is a key, as a Thickness has.
type Lean struct {
	uncertainty.Value
	Remedy string
}

// What the hand leaves open of the lay angle, degrees. Our settings, no source.
const (
	handHolds = 2.0 // how well the hand keeps an angle it was told
)

// Flattest and steepest lay angle, degrees.
const flattest, upright = 15.0, 90.0

// LayAngle is the lean of walls cut with the blade at φ degrees to the board,
// 90 being upright. The hand keeps the angle to about 2°.
func LayAngle(phi float64) (uncertainty.Value, error) {
	if !(phi >= flattest && phi <= upright) {
		return uncertainty.Value{}, phrase.Wrong("lay-range", phi, flattest, upright)
	}
	rad := phi * math.Pi / 180
	cot := math.Cos(rad) / math.Sin(rad)
	if phi == upright {
		cot = 0
	}
	u := handHolds * math.Pi / 180 / (math.Sin(rad) * math.Sin(rad))
	return uncertainty.Value{X: cot, U: u}, nil
}

// SeenLean is the lean of the solid that fits the photos and what was told: a wall
// that runs sideways by run mm, ± u, on a slice of the thickness given. A lay that was
// told is of two walls; how far the others run only a second photo sees.
func SeenLean(run, u, thickness float64, seen piece.Seen) Lean {
	remedy := "cure-lay"
	switch {
	case seen.LayTold && seen.Two:
		remedy = "cure-farther-apart"
	case seen.LayTold:
		remedy = "cure-second"
	}
	return Lean{uncertainty.Value{X: run / thickness, U: u / thickness}, remedy}
}
