package coach

import (
	"math"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
)

// lengthText says which plan angle gives the length wanted: from the block's
// width when it is known, else relative to the angle used.
func lengthText(p piece.Piece, t Target, c Cut) phrase.Text {
	want := t.LengthAim
	off := offText(p.Length.X, want, "off-long", "off-short")
	if positive(c.BlockWidth) {
		return off.And(planAngle(p, t, c))
	}
	if !usable(c.Theta) {
		return off.And(byShare(p.Length.X, want, "turn-across", "turn-along"))
	}
	used := c.Theta
	width := blockOf(used, p.Length.X, c.endWall(p))
	deg, ok := Angle(want, c.nextEndWall(p, t), width)
	switch {
	case !positive(width):
		return off.And(phrase.Of("length-no-block", used))
	case !ok:
		return off.And(phrase.Of("block-too-wide", width))
	case deg < minAngle:
		return off.And(phrase.Of("block-too-slender", width, minAngle))
	}
	return off.And(phrase.Of("turn-plan", used, deg))
}

// byShare says which way to turn a knife whose angle nobody told, and about how
// much of the size is to come off or on, in steps of 5 %: a number of degrees would
// rest on an angle that was only assumed.
func byShare(have, want float64, over, under string) phrase.Text {
	const step = 5.0
	percent := math.Max(step, step*math.Round(100*math.Abs(have-want)/have/step))
	key := under
	if have > want {
		key = over
	}
	return phrase.Of(key, percent)
}

// sameAngle is how near an angle advised may lie to the one told, degrees, before
// the advice would change nothing: then the knife was not held as told. Our setting.
const sameAngle = 1.5

// notHeld adds to the advice of an angle that was told already at what angle, by
// the block's size, the knife must have been held; empty where another was told.
func notHeld(advised, told, held float64, ok bool) phrase.Text {
	switch {
	case !usable(told) || math.Abs(advised-told) >= sameAngle:
		return nil
	case !ok:
		return phrase.Of("held-none")
	}
	return phrase.Of("held-about", held)
}

// planAngle says which plan angle cuts the length wanted from a block of a
// known width.
func planAngle(p piece.Piece, t Target, c Cut) phrase.Text {
	want, blockWidth := t.LengthAim, c.BlockWidth
	deg, ok := Angle(want, c.nextEndWall(p, t), blockWidth)
	switch {
	case !ok:
		return phrase.Of("plan-none", want, blockWidth)
	case deg < minAngle:
		return phrase.Of("plan-narrow", blockWidth, want, minAngle)
	}
	held, could := Angle(p.Length.X, c.endWall(p), blockWidth)
	return phrase.Of("plan-cut", deg, blockWidth, want).And(notHeld(deg, c.Theta, held, could))
}

// widthText says which lay angle gives the width wanted: from the block's
// height when it is known, else relative to the angle used.
func widthText(p piece.Piece, t Target, c Cut) phrase.Text {
	want := t.WidthAim
	off := offText(p.Width.X, want, "off-wide", "off-narrow")
	if positive(c.BlockHeight) {
		return off.And(layAngle(p, t, c))
	}
	if usable(c.Phi) {
		return off.And(layTurn(p, t, c))
	}
	return off.And(byShare(p.Width.X, want, "raise-or-trim", "lay-flatter"))
}

// layAngle says which lay angle cuts the width wanted from a block of a known
// height.
func layAngle(p piece.Piece, t Target, c Cut) phrase.Text {
	want, blockHeight := t.WidthAim, c.BlockHeight
	deg, ok := Angle(want, nextWall(p, t, c), blockHeight)
	switch {
	case !ok:
		return phrase.Of("lay-none", want, blockHeight)
	case deg < minAngle:
		return phrase.Of("lay-low", blockHeight, want, minAngle)
	}
	held, could := Angle(p.Width.X, wall(p), blockHeight)
	return phrase.Of("lay-cut", deg, blockHeight, want).And(notHeld(deg, c.Phi, held, could))
}

// layTurn says how to turn the blade from a known lay angle.
func layTurn(p piece.Piece, t Target, c Cut) phrase.Text {
	used := c.Phi
	height := blockOf(used, p.Width.X, wall(p))
	deg, ok := Angle(t.WidthAim, nextWall(p, t, c), height)
	switch {
	case !positive(height):
		return phrase.Of("width-no-block", used)
	case !ok:
		return phrase.Of("block-too-high", height)
	case deg < minAngle:
		return phrase.Of("block-too-low", height, minAngle)
	case deg < used:
		return phrase.Of("lay-over", used, deg)
	}
	return phrase.Of("lay-up", used, deg)
}

// offText says by how much a size is off, by the key of the side it lies on.
func offText(have, want float64, over, under string) phrase.Text {
	key := under
	if have > want {
		key = over
	}
	return phrase.Of(key, math.Abs(have-want), have, want)
}
