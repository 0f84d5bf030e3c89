package parallax

import "gonum.org/v1/gonum/spatial/r2"

// Look is how a place looks: the logarithm of its light, and the two differences
// of colour by light.
type Look [3]float32

// Looks is how the mat looks about a piece, seen from straight above: pixels in rows,
// so many a millimetre, the first of them pixel X0, Y0 of the whole mat.
type Looks struct {
	PxPerMM            float64
	X0, Y0, Wide, High int
	At                 []Look
}

// px is a place of the mat, mm, in pixels from half a pixel before the first one.
func (l *Looks) px(p r2.Vec) r2.Vec {
	return r2.Vec{X: p.X*l.PxPerMM + 0.5 - float64(l.X0), Y: p.Y*l.PxPerMM + 0.5 - float64(l.Y0)}
}

// index is that of the pixel there, below 0 beyond what was looked at.
func (l *Looks) index(px r2.Vec) int {
	x, y := int(px.X), int(px.Y)
	if px.X < 0 || px.Y < 0 || x >= l.Wide || y >= l.High {
		return -1
	}
	return y*l.Wide + x
}
