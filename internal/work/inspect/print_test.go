package inspect

import (
	"testing"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/see/segment"
)

// A mat printed at 98 % shrinks all that was seen on it, walls as well as outlines.
func TestPrintScaleReachesWalls(t *testing.T) {
	seen := segment.Result{Pieces: []segment.Piece{{
		Outline: []r2.Vec{{X: 100, Y: 50}},
		Walls:   []segment.Wall{{Mid: r2.Vec{X: 200, Y: 150}}},
	}}}
	p := printScale{value: 0.98}.scaled(seen).Pieces[0]
	if got, want := p.Outline[0], (r2.Vec{X: 98, Y: 49}); r2.Norm(r2.Sub(got, want)) > 1e-9 {
		t.Errorf("the outline lies at %v, want %v", got, want)
	}
	if got, want := p.Walls[0].Mid, (r2.Vec{X: 196, Y: 147}); r2.Norm(r2.Sub(got, want)) > 1e-9 {
		t.Errorf("the wall lies at %v, want %v", got, want)
	}
}
