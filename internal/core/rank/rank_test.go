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
