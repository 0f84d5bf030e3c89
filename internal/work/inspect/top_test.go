package inspect

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/see/shapetest"
)

// The line of a koba lies its width within the long side that it is on, and runs
// along most of it.
func TestKobaLine(t *testing.T) {
	face := shapetest.Placed(shapetest.Parallelogram(80, 34, 0), 20, r2.Vec{X: 200, Y: 150})
	sin, cos := math.Sincos(20 * math.Pi / 180)
	along, across := r2.Vec{X: cos, Y: sin}, r2.Vec{X: -sin, Y: cos}
	for _, side := range []int{-1, 1} {
		line := kobaLine(face, along, side, 4)
		if len(line) < 2 {
			t.Fatalf("side %d: %d points", side, len(line))
		}
		for _, q := range line {
			p := r2.Sub(r2.Vec{X: q[0], Y: q[1]}, r2.Vec{X: 200, Y: 150})
			if d := r2.Dot(p, across) * float64(side); math.Abs(d-13) > 0.1 {
				t.Errorf("side %d: the line lies %.2f mm off the middle, want 17 - 4", side, d)
			}
		}
		first, last := line[0], line[len(line)-1]
		if l := math.Hypot(last[0]-first[0], last[1]-first[1]); l < 60 || l > 80 {
			t.Errorf("side %d: the line is %.1f mm long on a side of 80", side, l)
		}
	}
}
