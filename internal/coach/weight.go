package coach

import (
	"fmt"
	"math"
)

// weightText says what to do about the thickness, once the size is right:
// weight goes with the face's length times its width times the thickness.
func weightText(p PieceIn, t Target, c Cut) string {
	off, grow := offWeight(p.Weight, t.WeightAim), p.grow(t, c)
	if grow != 1 {
		l, w := p.nextSize(t)
		if g := p.Weight * grow; side(g, t.WeightLow, t.WeightHigh) == 0 {
			return fmt.Sprintf("%s: the size is the cause; at %.0f × %.0f mm and the same thickness it weighs %.1f g, so leave the thickness", off, l, w, g)
		}
		off += fmt.Sprintf(", and the size is only part of it; once that is %.0f × %.0f mm", l, w)
	}
	return off + ": " + thicknessText(t.WeightAim/(p.Weight*grow), p, t, c)
}

// maskedText speaks of a thickness that is wrong but whose weight passes only
// because the size is wrong as well; empty when there is none.
func maskedText(p PieceIn, t Target, c Cut) string {
	g := p.Weight * p.grow(t, c)
	if !positive(g) || side(p.Weight, t.WeightLow, t.WeightHigh) != 0 || side(g, t.WeightLow, t.WeightHigh) == 0 {
		return ""
	}
	l, w := p.nextSize(t)
	return fmt.Sprintf("at %.0f × %.0f mm and this thickness it will weigh %.1f g (aim %.1f): %s", l, w, g, t.WeightAim, thicknessText(t.WeightAim/g, p, t, c))
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
// weight goes with the face, and a blade laid otherwise leaves another strip of
// wall beside it.
func (p PieceIn) grow(t Target, c Cut) float64 {
	l, w := p.nextSize(t)
	if l == p.Length && w == p.Width {
		return 1
	}
	if p.Triangular && p.Area > 0 {
		return l * w / p.Area
	}
	_, laid := c.next(p, t)
	was, now := p.Width-run(p.wall(), c.phi(p)), w-run(p.wall(), laid)
	if !positive(was) || !positive(now) {
		was, now = p.Width, w
	}
	return l * now / (p.Length * was)
}

// run is how far a wall leans out, mm: t / tan(phi).
func run(thickness, phi float64) float64 {
	return thickness * math.Cos(phi*math.Pi/180) / sine(phi)
}

// maxRatio: a slice this many times too heavy or light was not cut so but
// entered wrongly. Our setting.
const maxRatio = 3.0

// thicknessText says which thickness and knife pitch change the weight by the
// ratio, the face staying as it is.
func thicknessText(ratio float64, p PieceIn, t Target, c Cut) string {
	if !(ratio > 1/maxRatio && ratio < maxRatio) {
		return "that is too far off to be the hand: check the thickness or density that was entered"
	}
	if !positive(p.Thickness) {
		change, word := (ratio-1)*100, "thicker"
		if ratio < 1 {
			change, word = (1-ratio)*100, "thinner"
		}
		return fmt.Sprintf("cut %.0f %% %s, by that much more or less between one cut and the next", change, word)
	}
	was, now := p.Thickness, p.Thickness*ratio
	theta, phi := c.next(p, t)
	return fmt.Sprintf("cut %.1f mm thick, not %.1f; along the block that is a cut every %.1f mm at %.0f° and a blade at %.0f°",
		now, was, Pitch(now, theta, phi), theta, phi)
}

// next is the pair of angles that the coming tray is cut at: those advised
// where the size was off or the block's width tells the angle, else those used.
func (c Cut) next(p PieceIn, t Target) (theta, phi float64) {
	theta, phi = c.theta(), c.phi(p)
	if positive(c.BlockWidth) || side(p.Length, t.LengthLow, t.LengthHigh) != 0 {
		if deg, ok := c.thetaFor(p, t); ok && usable(deg) {
			theta = deg
		}
	}
	if side(p.Width, t.WidthLow, t.WidthHigh) != 0 {
		if deg, ok := Relaid(phi, p.Width, t.WidthAim, p.wall()); ok && usable(deg) {
			phi = deg
		}
	}
	return theta, phi
}

// thetaFor is the plan angle that gives the length wanted.
func (c Cut) thetaFor(p PieceIn, t Target) (float64, bool) {
	if positive(c.BlockWidth) {
		return Theta(t.LengthAim, c.BlockWidth)
	}
	return Turned(c.theta(), p.Length, t.LengthAim)
}

func offWeight(have, want float64) string {
	word := "light"
	if have > want {
		word = "heavy"
	}
	return fmt.Sprintf("%.1f g too %s (%.1f, aim %.1f)", math.Abs(have-want), word, have, want)
}
