package inspect

import (
	"math"
	"testing"

	"netagauge/internal/see/segment"
)

// A side is known as well as its edge is sharp and its outline smooth: up to the usual
// roughness no worse than without, and beyond it so that what was found off on boards,
// 0.14 mm at 0.085 and 0.4 mm at 0.13 mm of roughness, lies within two deviations.
func TestARoughSideIsKnownLess(t *testing.T) {
	for _, c := range []struct{ soft, rough, least, most float64 }{
		{0, 0, 0.06, 0.06}, {0.8, 0, 0.1, 0.1}, {0.8, 0.05, 0.1, 0.1}, {0.8, 0.085, 0.12, 0.2}, {0.8, 0.13, 0.2, 0.4},
	} {
		if got := sideU(segment.Piece{SoftMM: c.soft, RoughMM: c.rough}); got < c.least-1e-9 || got > c.most+1e-9 || math.IsNaN(got) {
			t.Errorf("soft %.2f, rough %.3f mm: %.3f mm, want %.2f to %.2f", c.soft, c.rough, got, c.least, c.most)
		}
	}
}
