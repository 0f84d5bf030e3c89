package rank

import (
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// Nth is what sorting would put there.
func TestNth(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.SliceOfN(rapid.Float32Range(0, 20), 1, 60).Draw(t, "values")
		k := rapid.IntRange(0, len(v)-1).Draw(t, "place")
		want := slices.Sorted(slices.Values(v))[k]
		if got := Nth(v, k); got != want {
			t.Fatalf("place %d of %v: %g, want %g", k, v, got, want)
		}
	})
}

// The middle one, the upper of two, whatever the order; the values stay where they are.
func TestMedian(t *testing.T) {
	for _, c := range []struct {
		of   []float64
		want float64
	}{{[]float64{3}, 3}, {[]float64{9, 1, 4}, 4}, {[]float64{8, 2, 6, 4}, 6}, {[]float64{5, 7}, 7}} {
		given := slices.Clone(c.of)
		if got := Median(c.of); got != c.want {
			t.Errorf("median of %v is %v, want %v", given, got, c.want)
		}
		if !slices.Equal(c.of, given) {
			t.Errorf("%v was put in another order: %v", given, c.of)
		}
	}
	if odd, even := Midpoint([]float64{9, 1, 4}), Midpoint([]float64{8, 2, 6, 4}); odd != 4 || even != 5 {
		t.Errorf("midpoints %v and %v, want 4 and 5", odd, even)
	}
	if got := Median([]int{4, 1, 3}); got != 3 {
		t.Errorf("of counts: %d, want 3", got)
	}
}
