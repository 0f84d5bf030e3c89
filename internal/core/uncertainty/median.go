package uncertainty

import (
	"math"
	"slices"
)

// Median is the middle one of values in any order, and the mean of the two in the
// middle where they are even in number. It is NaN for none.
func Median(v []float64) float64 {
	if len(v) == 0 {
		return math.NaN()
	}
	s := slices.Sorted(slices.Values(v))
	return (s[(len(s)-1)/2] + s[len(s)/2]) / 2
}
