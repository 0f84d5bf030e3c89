package parallax

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/see/shapetest"
)

// A slice 4 mm high whose wall on the right runs out by its height: an eye straight
// above it sees the face, and the wall at the height that is left; one far off to
// the left, more than 45° down, sees the face and not that wall.
func TestSpot(t *testing.T) {
	s := Upright(4)
	s.Lean = r2.Vec{X: 1}
	above := Eye{Height: 400}
	face := shapetest.Parallelogram(40, 80, 0)
	o, err := Above([]View{seen(face, above, s)}, s)
	if err != nil {
		t.Fatal(err)
	}
	left := Eye{Foot: r2.Vec{X: -600}, Height: 400}
	for _, c := range []struct {
		what         string
		x, height    float64
		wall, hidden bool
	}{
		{"face", 5, 4, false, false},
		{"wall half way down", 22, 2, true, true},
		{"mat behind", 30, 0, true, false},
	} {
		got := o.Spot(s, above, left, r2.Vec{X: c.x, Y: 1})
		if math.Abs(got.Height-c.height) > 2*sink || got.Wall != c.wall || got.Hidden != c.hidden {
			t.Errorf("%s: %+v", c.what, got)
		}
		if near := o.Spot(s, above, above, r2.Vec{X: c.x, Y: 1}); near.Hidden {
			t.Errorf("%s is hidden from the eye that sees it", c.what)
		}
	}
}
