package parallax

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
)

// What is looked up is what it was made from, on either side and beyond the last place.
func TestWhatIsLookedUp(t *testing.T) {
	n, m := r2.Vec{X: 1}, r2.Vec{Y: 1}
	for l := -3.9; l < 3.9; l += 0.0137 {
		if got, want := Wall(n)(r2.Vec{X: l, Y: 1}), math.Log(wall(l)); math.Abs(got-want) > 1e-3 && math.Abs(l) < greatestLean-0.01 {
			t.Errorf("a wall that leans by %.4f has log odds of %.5f, want %.5f", l, got, want)
		}
	}
	if got, want := Wall(n)(r2.Vec{X: 50}), math.Log(wall(50)); math.Abs(got-want) > 1e-9 {
		t.Errorf("far beyond: %.4f, want %.4f", got, want)
	}
	// Both lean by 1: the normals (1, 0, 1) and (0, 1, 1) make an angle of 60°.
	got := Square(n, m)(r2.Vec{X: 1, Y: 1})
	want := math.Log((1-notSquare)*normal(0.5, squareU) + notSquare*normal(0.5, notSquareU))
	if math.Abs(got-want) > 1e-4 {
		t.Errorf("at 60° log odds of %.5f, want %.5f", got, want)
	}
}

// A pixel is looked at from its first edge to its last, and nothing beyond the raster.
func TestLooksIndex(t *testing.T) {
	l := Looks{PxPerMM: 4, X0: 8, Y0: 12, Wide: 3, High: 2}
	for _, c := range []struct {
		x, y float64 // mm
		want int
	}{{2, 3, 0}, {1.88, 2.88, 0}, {1.87, 3, -1}, {2, 2.87, -1}, {2.5, 3.25, 5}, {2.62, 3.25, 5}, {2.63, 3.25, -1}, {2, 3.38, -1}} {
		if got := l.index(l.px(r2.Vec{X: c.x, Y: c.y})); got != c.want {
			t.Errorf("%.2f, %.2f mm is pixel %d, want %d", c.x, c.y, got, c.want)
		}
	}
}

// The same change of light tells more of a wall that is seen wide than of one where a
// rounded edge makes as much; what is not known tells nothing.
func TestLightByDepth(t *testing.T) {
	eye, height := Eye{Height: 400}, 4.0
	s := Side{Normal: r2.Vec{X: 1}, Length: 40, Change: make([]float64, 50), From: 0.25, Step: 0.2}
	for i := range s.Change {
		s.Change[i] = 3
	}
	at := func(depth float64) float64 { return Light(s, eye, height)(r2.Vec{X: depth / height}) }
	for _, c := range []struct{ depth, least, most float64 }{
		{0.5, 0, 0}, {0.8, 0, 0.5}, {6, 1.4, 3}, {20, 0, 0},
	} {
		if got := at(c.depth); got < c.least || got > c.most {
			t.Errorf("a change of 3 deviations %.1f mm deep has log odds of %.2f, want %.1f to %.1f", c.depth, got, c.least, c.most)
		}
	}
	s.Change[20] = 0
	if got := at(s.From + 20*s.Step - edgeBreadth); math.Abs(got) > 1e-9 {
		t.Errorf("what is not known has log odds of %.2f", got)
	}
}
