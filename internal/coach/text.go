package coach

import (
	"fmt"
	"math"
)

// lengthText says which plan angle gives the length wanted: from the block's
// width when it is known, else relative to the angle used.
func lengthText(p PieceIn, t Target, c Cut) string {
	want := t.LengthAim
	off := offText(p.Length, want, "long", "short")
	if positive(c.BlockWidth) {
		return off + ": " + planAngle(p, t, c)
	}
	used := c.theta()
	width := blockOf(used, p.Length, c.endWall(p))
	deg, ok := Angle(want, c.nextEndWall(p, t), width)
	switch {
	case !positive(width):
		return fmt.Sprintf("%s: no block gives this length with the knife at %.0f°: check the plan angle that was entered", off, used)
	case !ok:
		return fmt.Sprintf("%s: the block is about %.0f mm wide and no plan angle gives less than that: trim it or split it lengthwise", off, width)
	case deg < minAngle:
		return fmt.Sprintf("%s: the block is only about %.0f mm wide, too narrow for this length at any plan angle above %.0f°: use a wider block", off, width, minAngle)
	}
	return fmt.Sprintf("%s: turn the knife from %.0f° to %.0f° to the block's long axis", off, used, deg)
}

// sameAngle is how near an angle advised may lie to the one told, degrees, before
// the advice would change nothing: then the knife was not held as told. Our setting.
const sameAngle = 1.5

// notHeld adds to the advice of an angle that was told already at what angle, by
// the block's size, the knife must have been held; empty where another was told.
func notHeld(advised, told, held float64, ok bool) string {
	switch {
	case !usable(told) || math.Abs(advised-told) >= sameAngle:
		return ""
	case !ok:
		return "; no knife cuts this from such a block: measure the block again"
	}
	return fmt.Sprintf("; it was held at about %.0f°, or the block is not of that size: measure it again", held)
}

// planAngle says which plan angle cuts the length wanted from a block of a
// known width.
func planAngle(p PieceIn, t Target, c Cut) string {
	want, blockWidth := t.LengthAim, c.BlockWidth
	deg, ok := Angle(want, c.nextEndWall(p, t), blockWidth)
	switch {
	case !ok:
		return fmt.Sprintf("no plan angle gives %.0f mm from a block %.0f mm wide: trim it or split it lengthwise", want, blockWidth)
	case deg < minAngle:
		return fmt.Sprintf("a block %.0f mm wide is too narrow for %.0f mm at any plan angle above %.0f°: use a wider block", blockWidth, want, minAngle)
	}
	held, could := Angle(p.Length, c.endWall(p), blockWidth)
	return fmt.Sprintf("cut at %.0f° to the block's long axis; a block %.0f mm wide gives %.0f mm there", deg, blockWidth, want) + notHeld(deg, c.Theta, held, could)
}

// widthText says which lay angle gives the width wanted: from the block's
// height when it is known, else relative to the angle used.
func widthText(p PieceIn, t Target, c Cut) string {
	want := t.WidthAim
	off := offText(p.Width, want, "wide", "narrow")
	if positive(c.BlockHeight) {
		return off + ": " + layAngle(p, t, c)
	}
	if usable(c.Phi) {
		return off + ": " + layTurn(p, t, c)
	}
	if deg, ok := Angle(want, p.nextWall(t, c), blockOf(90, p.Width, p.wall())); ok && deg >= minAngle {
		return fmt.Sprintf("%s: lay the blade flatter; if it stood upright, lay it to %.0f° from the board", off, deg)
	}
	if p.Width > want {
		return off + ": raise the blade; if it stood upright already, trim the block or split it to less height"
	}
	return off + ": the block is too low for this width even with the blade laid flat: use a higher block"
}

// layAngle says which lay angle cuts the width wanted from a block of a known
// height.
func layAngle(p PieceIn, t Target, c Cut) string {
	want, blockHeight := t.WidthAim, c.BlockHeight
	deg, ok := Angle(want, p.nextWall(t, c), blockHeight)
	switch {
	case !ok:
		return fmt.Sprintf("no lay angle gives %.0f mm from a block %.0f mm high: trim it or split it to less height", want, blockHeight)
	case deg < minAngle:
		return fmt.Sprintf("a block %.0f mm high is too low for %.0f mm at any lay angle above %.0f°: use a higher block", blockHeight, want, minAngle)
	}
	held, could := Angle(p.Width, p.wall(), blockHeight)
	return fmt.Sprintf("lay the blade to %.0f° from the board; a block %.0f mm high gives %.0f mm there", deg, blockHeight, want) + notHeld(deg, c.Phi, held, could)
}

// layTurn says how to turn the blade from a known lay angle.
func layTurn(p PieceIn, t Target, c Cut) string {
	used := c.Phi
	height := blockOf(used, p.Width, p.wall())
	deg, ok := Angle(t.WidthAim, p.nextWall(t, c), height)
	switch {
	case !positive(height):
		return fmt.Sprintf("no block gives this width with the blade at %.0f°: check the lay angle that was entered", used)
	case !ok:
		return fmt.Sprintf("the block is about %.0f mm high and no lay angle gives less than that: trim it or split it to less height", height)
	case deg < minAngle:
		return fmt.Sprintf("the block is only about %.0f mm high, too low for this width at any lay angle above %.0f°: use a higher block", height, minAngle)
	case deg < used:
		return fmt.Sprintf("lay the blade flatter, from %.0f° to %.0f° from the board", used, deg)
	}
	return fmt.Sprintf("raise the blade from %.0f° to %.0f° from the board", used, deg)
}

func offText(have, want float64, over, under string) string {
	word := under
	if have > want {
		word = over
	}
	return fmt.Sprintf("%.0f mm too %s (%.0f, aim %.0f)", math.Abs(have-want), word, have, want)
}
