package stereo

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/stat"
)

// Where a top rises above the fitted surface its relief does too.
func TestReliefFollowsTheTop(t *testing.T) {
	wave := slab(func(x, _ float64) float64 { return 4.4 + 0.3*math.Cos(2*math.Pi*x/30) })
	r := surfaceOf(t, wave.pairAcross()).Relief
	var got, want []float64
	for i, h := range r.Height {
		if math.IsNaN(h) {
			continue
		}
		at := r2.Add(r.First, r2.Add(r2.Scale(float64(i%r.Cols), r.Along), r2.Scale(float64(i/r.Cols), r.Across)))
		got, want = append(got, h), append(want, wave.top(at))
	}
	if c := stat.Correlation(got, want, nil); len(got) < 20 || !(c > 0.7) {
		t.Errorf("%d cells follow the top with r = %.2f, want 0.7", len(got), c)
	}
}
