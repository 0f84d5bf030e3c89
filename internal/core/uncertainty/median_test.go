package uncertainty

import (
	"math"
	"slices"
	"testing"
)

func TestMedian(t *testing.T) {
	for _, c := range []struct {
		of   []float64
		want float64
	}{{[]float64{3}, 3}, {[]float64{9, 1, 4}, 4}, {[]float64{8, 2, 6, 4}, 5}} {
		given := slices.Clone(c.of)
		if got := Median(c.of); got != c.want {
			t.Errorf("median of %v is %v, want %v", given, got, c.want)
		}
		if !slices.Equal(c.of, given) {
			t.Errorf("%v was put in another order: %v", given, c.of)
		}
	}
	if got := Median(nil); !math.IsNaN(got) {
		t.Errorf("median of nothing is %v", got)
	}
}
