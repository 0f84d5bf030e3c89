package mat

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// The resolution at a point is that of the worse direction. A pinhole of 1000 px,
// 500 mm from the mat along a line that is tilted by 60° about the mat's x, shows
// 2 px a mm along x, and across it cos 60° of that: 1 px (the scale of a tilted
// plane under weak perspective, at the principal point).
func TestResolutionOfTheWorseDirection(t *testing.T) {
	sin, cos := math.Sincos(60 * math.Pi / 180)
	c := Camera{F: 1000, Centre: r2.Vec{X: 500, Y: 500},
		R: [3]r3.Vec{{X: 1}, {Y: cos, Z: -sin}, {Y: sin, Z: cos}}, T: r3.Vec{Z: 500}}
	if got := c.PxPerMM(r2.Vec{}); math.Abs(got-1) > 0.01 {
		t.Errorf("%.3f px a mm, want 1.00", got)
	}
	upright := Camera{F: 1000, Centre: r2.Vec{X: 500, Y: 500}, R: [3]r3.Vec{{X: 1}, {Y: 1}, {Z: 1}}, T: r3.Vec{Z: 500}}
	if got := upright.PxPerMM(r2.Vec{X: 30, Y: -20}); math.Abs(got-2) > 1e-9 {
		t.Errorf("from straight above %.3f px a mm, want 2.00", got)
	}
}
