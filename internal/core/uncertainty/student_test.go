package uncertainty

import (
	"math"
	"testing"
)

// JCGM 100:2008, table G.2, p = 95 %.
func TestStudent(t *testing.T) {
	for freedom, want := range map[float64]float64{1: 12.71, 2: 4.30, 4: 2.78, 10: 2.23, 19: 2.09, 100: 1.984} {
		if got := Student(freedom); math.Abs(got-want) > 0.005 {
			t.Errorf("%g degrees of freedom: %.3f, want %.3f", freedom, got, want)
		}
	}
}
