package parallax

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/see/shapetest"
)

// A slice 4 mm high with sharp corners, whose walls lean along and across: nothing of
// its outline is lost by the true lean, nor, from far above, by walls that run inward
// and show nothing. Other leans take two corners for walls that are none.
func TestLostTellsTheLean(t *testing.T) {
	eye := Eye{Foot: r2.Vec{X: 60, Y: -40}, Height: 450}
	solid := func(lean r2.Vec) Solid {
		s := Upright(4)
		s.Lean = lean
		return s
	}
	drawn := r2.Vec{X: 1.2, Y: 0.8}
	view := seen(shapetest.Parallelogram(80, 35, 20), eye, solid(drawn))
	odds := func(lean r2.Vec) float64 {
		s := solid(lean)
		o, err := Above([]View{view}, s)
		if err != nil {
			t.Fatal(err)
		}
		return o.Lost(view, s)
	}
	if got := odds(drawn); got < -0.75 {
		t.Errorf("the lean drawn has log odds of %.2f", got)
	}
	for _, other := range []r2.Vec{{X: 1.2, Y: -0.8}, {X: -1.2, Y: 0.8}, {X: 1.2}, {Y: 0.8}, {X: 2.2, Y: 1.4}} {
		if got := odds(other); got > -2 {
			t.Errorf("a lean of %.1f has log odds of %.2f", other, got)
		}
	}
	most := odds(r2.Vec{X: 2.5, Y: -2.5})
	if want := -mostLost / usualLost; math.Abs(most-want) > 1e-9 {
		t.Errorf("a lean far off has log odds of %.2f, want no less than %.2f", most, want)
	}
}
