package plan

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"netagauge/internal/core/fatal"
)

// Heights read off points of a top are those of the top that the points were
// drawn from: a belly that grows along the block and bends half-way across, lying
// askew on the mat. Points err by 0.3 mm.
func TestHeightsFrom(t *testing.T) {
	rng := rand.New(rand.NewPCG(30, 15))
	b := block(t, At(0, 60, 1), At(200, 60, 1))
	sin, cos := math.Sincos(0.4)
	place := Place{r2.Vec{X: 90, Y: 120}, r2.Vec{X: cos, Y: sin}, r2.Vec{X: sin, Y: -cos}}
	top := func(x, share float64) float64 {
		s := Sloping(x, 60, 6, 16, 20)
		return s.heightAt(share) + 0.02*x
	}
	var points []r3.Vec
	for range 600 {
		x, share := 200*rng.Float64(), 0.04+0.92*rng.Float64()
		p := place.Mat(r3.Vec{X: x, Y: 60*share - 30})
		p.Z = top(x, share) + 0.3*rng.NormFloat64()
		points = append(points, p)
	}
	got, err := b.HeightsFrom(points, place)
	fatal.If(t, err)
	for _, h := range got {
		for share, mm := range map[float64]float64{0: h.Near, 0.5: h.Middle, 1: h.Far} {
			// within half a section's reach of an end the points lie to one side
			if off := mm - top(h.X, share); math.Abs(off) > 0.5 {
				t.Errorf("at %g mm, a share of %g across: %.2f mm, want %.2f", h.X, share, mm, top(h.X, share))
			}
		}
	}
	if len(got) < 8 {
		t.Errorf("%d sections", len(got))
	}
	if _, err := b.HeightsFrom(points[:5], place); err == nil {
		t.Error("heights from five points")
	}
}
