package inspect

import (
	"math"
	"testing"
)

// The ray through a flat sheet by Snell's law, sin a = n sin b: where it meets the
// mat lies t·tan b from where it enters, and t·tan a without the sheet. So the sheet's
// upper side lies t·tan b / tan a above the mat as it is seen. Photos are taken
// within some 25 degrees of straight above.
func TestRaisedIsRefracted(t *testing.T) {
	for _, sheet := range []float64{0, 0.1, 1} {
		for a := 1.0; a <= 25; a += 6 {
			sin := math.Sin(a * math.Pi / 180)
			b := math.Asin(sin / 1.5)
			want := sheet * math.Tan(b) / math.Tan(a*math.Pi/180)
			if got := raised(sheet); math.Abs(got-want) > 0.05*sheet {
				t.Errorf("%g mm at %g°: %.3f mm, by the ray %.3f", sheet, a, got, want)
			}
		}
	}
}
