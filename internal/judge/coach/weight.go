package coach

import (
	"cmp"
	"math"

	"netagauge/internal/core/phrase"
)

// weightText says what to do about the thickness, once the size is right:
// weight goes with the face's length times its width times the thickness.
func weightText(p PieceIn, t Target, c Cut) phrase.Text {
	off, grow := offText(p.Weight, t.WeightAim, "off-heavy", "off-light"), p.grow(t, c)
	if grow != 1 {
		l, w := p.nextSize(t)
		if g := p.Weight * grow; side(g, t.WeightLow, t.WeightHigh) == 0 {
			return off.And(phrase.Of("size-is-cause", l, w, g))
		}
		off = off.And(phrase.Of("size-is-part", l, w))
	}
	return off.And(thicknessText(t.WeightAim/(p.Weight*grow), p, t, c))
}

// maskedText speaks of a thickness that is wrong but whose weight passes only
// because the size is wrong as well; nil when there is none.
func maskedText(p PieceIn, t Target, c Cut) phrase.Text {
	g := p.Weight * p.grow(t, c)
	if !positive(g) || side(p.Weight, t.WeightLow, t.WeightHigh) != 0 || side(g, t.WeightLow, t.WeightHigh) == 0 {
		return nil
	}
	l, w := p.nextSize(t)
	return phrase.Of("will-weigh", l, w, g, t.WeightAim).And(thicknessText(t.WeightAim/g, p, t, c))
}

// nextSize is the size that the advice leads to: the aim where a measure is
// outside its limits.
func (p PieceIn) nextSize(t Target) (length, width float64) {
	length, width = p.Length, p.Width
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
func (p PieceIn) grow(t Target, c Cut) float64 {
	l, w := p.nextSize(t)
	if l == p.Length && w == p.Width {
		return 1
	}
	if p.Triangular && p.Area > 0 {
		return l * w / p.Area
	}
	theta, phi := c.next(p, t, p.wall())
	grow := 1.0
	if l != p.Length {
		grow *= face(l, c.endWall(p)*sine(phi)/sine(c.phi(p)), theta) / face(p.Length, c.endWall(p), c.theta())
	}
	if w != p.Width {
		grow *= face(w, p.wall(), phi) / face(p.Width, p.wall(), c.phi(p))
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
func (p PieceIn) nextWall(t Target, c Cut) float64 {
	g := p.Weight * p.grow(t, c)
	if ratio := t.WeightAim / g; positive(p.Thickness) && positive(g) && side(g, t.WeightLow, t.WeightHigh) != 0 && plausible(ratio) {
		return p.Thickness * ratio
	}
	return p.wall()
}

// maxRatio: a slice this many times too heavy or light was not cut so but
// entered wrongly. Our setting.
const maxRatio = 3.0

func plausible(ratio float64) bool { return ratio > 1/maxRatio && ratio < maxRatio }

// thicknessText says which thickness and knife pitch change the weight by the
// ratio, the face staying as it is.
func thicknessText(ratio float64, p PieceIn, t Target, c Cut) phrase.Text {
	if !plausible(ratio) {
		return phrase.Of("far-off")
	}
	if !positive(p.Thickness) {
		if ratio < 1 {
			return phrase.Of("cut-thinner", (1-ratio)*100)
		}
		return phrase.Of("cut-thicker", (ratio-1)*100)
	}
	was, now := p.Thickness, p.Thickness*ratio
	theta, phi := c.next(p, t, now)
	return phrase.Of("cut-thick", now, was, Pitch(now, theta, phi), theta, phi)
}

// next is the pair of angles that the coming tray, of the thickness given, is cut
// at: those advised where the size was off or the block's width tells the angle,
// else those used.
func (c Cut) next(p PieceIn, t Target, thickness float64) (theta, phi float64) {
	theta, phi = c.theta(), c.phi(p)
	block := cmp.Or(c.BlockWidth, blockOf(theta, p.Length, c.endWall(p)))
	if side(p.Width, t.WidthLow, t.WidthHigh) != 0 {
		if deg, ok := Angle(t.WidthAim, thickness, blockOf(phi, p.Width, p.wall())); ok && usable(deg) {
			phi = deg
		}
	}
	if c.BlockWidth > 0 || side(p.Length, t.LengthLow, t.LengthHigh) != 0 {
		wall := EndWall(thickness, phi) * c.endWall(p) / EndWall(p.wall(), c.phi(p))
		if deg, ok := Angle(t.LengthAim, wall, block); ok && usable(deg) {
			theta = deg
		}
	}
	return theta, phi
}
