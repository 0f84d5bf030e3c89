package segment

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
)

// A smooth outline is not rough, whether its sides are straight or round; noise across it
// comes back as its standard deviation. Less than all of it, since a parabola takes its
// share: of 17 points 3.
func TestRough(t *testing.T) {
	box := []r2.Vec{{X: 0, Y: 0}, {X: 80, Y: 0}, {X: 85, Y: 32}, {X: 5, Y: 32}}
	disc := make([]r2.Vec, 240)
	for i := range disc {
		y, x := math.Sincos(2 * math.Pi * float64(i) / 240)
		disc[i] = r2.Vec{X: 30 * x, Y: 30 * y}
	}
	rnd := rand.New(rand.NewPCG(3, 9))
	for name, o := range map[string][]r2.Vec{"box": resample(box, stepMM), "disc": disc} {
		if got := rough(o); got > 0.002 {
			t.Errorf("%s: %.4f mm rough", name, got)
		}
		for _, sd := range []float64{0.1, 0.2} {
			noisy := make([]r2.Vec, len(o))
			for i, p := range normals(o) {
				noisy[i] = r2.Add(p.at, r2.Scale(sd*rnd.NormFloat64(), p.normal))
			}
			if got := rough(noisy) / sd; got < 0.7 || got > 1.15 {
				t.Errorf("%s, %.1f mm of noise: told as %.2f of it", name, sd, got)
			}
		}
	}
}
