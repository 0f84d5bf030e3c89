package coach

import (
	"cmp"
	"math"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
)

// weightText says what to do about the thickness, once the size is right:
// weight goes with the face's length times its width times the thickness.
func weightText(p piece.Piece, t Target, c Cut) phrase.Text {
	off, grow := offText(p.Weight.X, t.WeightAim, "off-heavy", "off-light"), grow(p, t, c)
	if grow != 1 {
		l, w := nextSize(p, t)
		if g := p.Weight.X * grow; side(g, t.WeightLow, t.WeightHigh) == 0 {
			return off.And(phrase.Of("size-is-cause", l, w, g))
		}
		off = off.And(phrase.Of("size-is-part", l, w))
	}
	return off.And(thicknessText(t.WeightAim/(p.Weight.X*grow), p, t, c))
}

// maskedText speaks of a thickness that is wrong but whose weight passes only
// because the size is wrong as well; nil when there is none.
func maskedText(p piece.Piece, t Target, c Cut) phrase.Text {
	g := p.Weight.X * grow(p, t, c)
	if !positive(g) || side(p.Weight.X, t.WeightLow, t.WeightHigh) != 0 || side(g, t.WeightLow, t.WeightHigh) == 0 {
		return nil
	}
	l, w := nextSize(p, t)
	return phrase.Of("will-weigh", l, w, g, t.WeightAim).And(thicknessText(t.WeightAim/g, p, t, c))
}

// nextSize is the size that the advice leads to: the aim where a measure is
// outside its limits.
func nextSize(p piece.Piece, t Target) (length, width float64) {
	length, width = p.Length.X, p.Width.X
	if side(length, t.LengthLow, t.LengthHigh) != 0 {
		length = t.LengthAim
	}
	if side(width, t.WidthLow, t.WidthHigh) != 0 {
		width = t.WidthAim
	}
	return length, width
}

// grow is what putting the size right does to the weight, 1 where it is right:
// weight goes with the face, and a knife held otherwise leaves other strips of
// wall beside it.
func grow(p piece.Piece, t Target, c Cut) float64 {
	l, w := nextSize(p, t)
	if l == p.Length.X && w == p.Width.X {
		return 1
	}
	if p.Triangular && p.Area.X > 0 {
		return l * w / p.Area.X
	}
	theta, phi := c.next(p, t, wall(p))
	grow := 1.0
	if l != p.Length.X {
		grow *= face(l, c.endWall(p)*sine(phi)/sine(c.phi(p)), theta) / face(p.Length.X, c.endWall(p), c.theta())
	}
	if w != p.Width.X {
		grow *= face(w, wall(p), phi) / face(p.Width.X, wall(p), c.phi(p))
	}
	return grow
}

// face is the length or width of the face, mm, of a slice that lies so long or
// wide: without the strip wall / tan(angle).
func face(lies, wall, deg float64) float64 {
	if f := lies - wall*math.Cos(deg*math.Pi/180)/sine(deg); positive(f) {
		return f
	}
	return lies
}

// nextWall is the thickness that the coming tray is cut at, mm: the one advised
// where the weight will be off with the size right, else the one there is.
func nextWall(p piece.Piece, t Target, c Cut) float64 {
	g := p.Weight.X * grow(p, t, c)
	if ratio := t.WeightAim / g; positive(p.Thickness.X) && positive(g) && side(g, t.WeightLow, t.WeightHigh) != 0 && plausible(ratio) {
		return p.Thickness.X * ratio
	}
	return wall(p)
}

// maxRatio: a slice this many times too heavy or light was not cut so but
// entered wrongly. Our setting.
const maxRatio = 3.0

func plausible(ratio float64) bool { return ratio > 1/maxRatio && ratio < maxRatio }

// thicknessText says which thickness and knife pitch change the weight by the
// ratio, the face staying as it is.
func thicknessText(ratio float64, p piece.Piece, t Target, c Cut) phrase.Text {
	if !plausible(ratio) {
		return phrase.Of("far-off")
	}
	if !positive(p.Thickness.X) {
		if ratio < 1 {
			return phrase.Of("cut-thinner", (1-ratio)*100)
		}
		return phrase.Of("cut-thicker", (ratio-1)*100)
	}
	was, now := p.Thickness.X, p.Thickness.X*ratio
	if !c.planTold() || !c.layTold() {
		return phrase.Of("cut-to", now, was)
	}
	theta, phi := c.next(p, t, now)
	return phrase.Of("cut-thick", now, was, Pitch(now, theta, phi), theta, phi)
}

// next is the pair of angles that the coming tray, of the thickness given, is cut
// at: those advised where the size was off or the block's width tells the angle,
// else those used.
func (c Cut) next(p piece.Piece, t Target, thickness float64) (theta, phi float64) {
	theta, phi = c.theta(), c.phi(p)
	block := cmp.Or(c.BlockWidth, blockOf(theta, p.Length.X, c.endWall(p)))
	if side(p.Width.X, t.WidthLow, t.WidthHigh) != 0 {
		if deg, ok := Angle(t.WidthAim, thickness, blockOf(phi, p.Width.X, wall(p))); ok && usable(deg) {
			phi = deg
		}
	}
	if c.BlockWidth > 0 || side(p.Length.X, t.LengthLow, t.LengthHigh) != 0 {
		wall := EndWall(thickness, phi) * c.endWall(p) / EndWall(wall(p), c.phi(p))
		if deg, ok := Angle(t.LengthAim, wall, block); ok && usable(deg) {
			theta = deg
		}
	}
	return theta, phi
}
