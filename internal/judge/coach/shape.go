package coach

import (
	"math"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
)

// rescue says whether the piece itself can still be used: opened like a book
// (kannon-biraki) it has twice the width, or the length, at half the
// thickness. Common practice, no source: a small piece of enough weight is
// opened.
func rescue(p piece.Piece, t Target, f faults) (Advice, bool) {
	if p.Weight.X <= 0 || f.weight < 0 {
		return Advice{}, false
	}
	open := func(on *piece.Measure, key string, length, width float64) (Advice, bool) {
		text := phrase.Of(key, p.Weight.X, length, width)
		if p.Thickness.X > 0 {
			text = text.And(phrase.Of("open-thick", p.Thickness.X/2))
		}
		return Advice{on, text}, true
	}
	switch {
	case f.width < 0 && f.length >= 0 && 2*p.Width.X >= t.WidthLow && 2*p.Width.X <= bookRoom*t.WidthHigh:
		return open(piece.Width, "open-long-edge", p.Length.X, 2*p.Width.X)
	case f.length < 0 && f.width >= 0 && 2*p.Length.X >= t.LengthLow && 2*p.Length.X <= bookRoom*t.LengthHigh:
		return open(piece.Length, "open-short", 2*p.Length.X, p.Width.X)
	}
	return Advice{}, false
}

// bookRoom is how far an opened slice may exceed the greatest size, to be
// trimmed: a slice only a little short of it is not worth opening.
const bookRoom = 1.25

// coverText says why the rice shows and what to do: a taper is held by turning
// the blade, else the slice is small or ragged.
func coverText(p piece.Piece, t Target, c Cut) phrase.Text {
	if p.Triangular {
		return taperText(p, t, c)
	}
	if p.Length.X < t.LengthLow || p.Width.X < t.WidthLow {
		return phrase.Of("cover-small")
	}
	return phrase.Of("cover-ragged")
}

// taperText says how to hold the width of a slice from a block that is thin on
// one side, as belly and the top of the fillet are: the width follows h /
// sin(phi) at each end, so the lay angle must follow the height. Common
// practice, no source: such cuts tend to triangles, and the thick side lies
// away from the cook.
func taperText(p piece.Piece, t Target, c Cut) phrase.Text {
	wide, narrow := ends(p)
	head := phrase.Of("taper", wide, narrow)
	thickDeg, thickOK := c.layFor(p, wide, wide, t.WidthAim)
	thinDeg, thinOK := c.layFor(p, narrow, wide, t.WidthAim)
	switch {
	case !positive(c.BlockHeight) && !usable(c.Phi):
		return head.And(phrase.Of("taper-start"))
	case !thickOK:
		return head.And(phrase.Of("taper-trim"))
	case !thinOK || thinDeg < minAngle:
		return head.And(phrase.Of("taper-thin", thickDeg, minAngle))
	}
	return head.And(phrase.Of("taper-lay", thickDeg, thinDeg))
}

// profileShare is the share of a slice's length over which its taper is taken:
// from 10 to 90 %.
const profileShare = 0.8

// ends are the widths at a slice's two ends, on the line through its width
// profile.
func ends(p piece.Piece) (wide, narrow float64) {
	half := math.Abs(p.Taper.X) / profileShare / 2
	return p.Width.X * (1 + half), math.Max(p.Width.X*(1-half), 0)
}

// layFor is the lay angle that turns the width at one end of a slice into the
// width wanted. A known block height is that of the thick side.
func (c Cut) layFor(p piece.Piece, have, wide, want float64) (float64, bool) {
	if positive(c.BlockHeight) {
		return Angle(want, wall(p), c.BlockHeight*have/wide)
	}
	p.Width.X = wide
	return Turned(c.phi(p), have, want, wall(p))
}
