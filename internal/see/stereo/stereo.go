// Package stereo finds how high the top of a slice lies above the mat, all over
// its face, from two photos of the same tray taken from different places. It
// speaks mm in the mat frame (x right, y down), heights upward from the mat.
// Each photo's camera is known from the mat in it, so the photos need no
// alignment with each other. It never sees a whole photo's worth of pieces and
// judges nothing: it says what surface explains both pictures best, and by how
// much better than another.
package stereo

import (
	"image"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/see/mat"
	"netagauge/internal/see/parallax"
)

// View is one photo's sight of a slice: the photo's brightness, its camera, and
// the outline seen, where it lands on the mat plane.
type View struct {
	Luma    *image.Gray
	Camera  mat.Camera
	Outline []r2.Vec
}

func (v View) eye() parallax.Eye {
	e := v.Camera.Eye()
	return parallax.Eye{Foot: r2.Vec{X: e.X, Y: e.Y}, Height: -e.Z}
}

// Pair is two views of one slice.
type Pair struct{ A, B View }
