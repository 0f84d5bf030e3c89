package stereo

import (
	"testing"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/see/parallax"
	"netagauge/internal/see/vision"
)

// Walls agree less than the face does. They must not count against a solid that has
// them, and what one photo cannot see must not count at all.
func TestWallsDoNotSpoilTheFace(t *testing.T) {
	v := newVolume(patch{pitch: finePitch, nx: 80, ny: 8}, []float64{3.75, 4, 4.25}, 4, 2)
	agree := func(r float64) (s vision.Banded) {
		for k := range s {
			s[k] = vision.Products{AB: r * 80, AA: 80, BB: 80, N: 80}
		}
		return s
	}
	for height := range v.heights {
		blocks := make([]vision.Banded, 8)
		for b := range blocks {
			blocks[b] = agree([]float64{0.95, 0.4}[b/4]) // the second row is wall
		}
		v.put(height, blocks)
	}
	f := &fit{v: v, blocks: []int{0, 1, 2, 3, 4, 5, 6, 7}}
	for b := range 8 {
		f.mid = append(f.mid, v.middle(b))
	}
	land := patch{along: r2.Vec{X: 1}, across: r2.Vec{Y: 1}, pitch: finePitch}
	shown := func(second parallax.Spot) float64 {
		return f.shows(land, func(q r2.Vec) parallax.Spot {
			if q.Y > blockAcross {
				return second
			}
			return parallax.Spot{Height: 4}
		})
	}
	hidden := shown(parallax.Spot{Height: 4, Hidden: true})
	if face := v.likelihood([]int{0, 1, 2, 3}, func(int) float64 { return 4 }); hidden != face {
		t.Errorf("with the wall hidden both photos agree by %.2f, the face alone by %.2f", hidden, face)
	}
	if wall := shown(parallax.Spot{Height: 4, Wall: true}); wall <= hidden {
		t.Errorf("a wall that is seen, and agrees a little, counts against its solid: %.2f below %.2f", wall, hidden)
	}
	if pooled := shown(parallax.Spot{Height: 4}); pooled >= hidden {
		t.Errorf("face that does not agree counts for it: %.2f above %.2f", pooled, hidden)
	}
}
