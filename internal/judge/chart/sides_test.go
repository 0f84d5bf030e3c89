package chart

import (
	"math"
	"slices"
	"testing"

	"netagauge/internal/core/fatal"
)

// Nelson's test 8 (Journal of Quality Technology 16(4), 1984): eight points in a
// row, none within one standard error of the centre, on both sides of it. Eight on
// one side are no such pattern.
func TestEightOnBothSides(t *testing.T) {
	for name, c := range map[string]struct {
		zones []float64
		want  bool
	}{
		"both sides":     {[]float64{1.2, -1.3, 1.4, 1.5, -1.2, 1.1, -1.6, 1.3}, true},
		"above only":     {[]float64{1.2, 1.3, 1.4, 1.5, 1.2, 1.1, 1.6, 1.3}, false},
		"below only":     {[]float64{-1.2, -1.3, -1.4, -1.5, -1.2, -1.1, -1.6, -1.3}, false},
		"one within":     {[]float64{1.2, -1.3, 1.4, 0.5, -1.2, 1.1, -1.6, 1.3}, false},
		"seven in a row": {[]float64{1.2, -1.3, 1.4, 1.5, -1.2, 1.1, -1.6}, false},
	} {
		var points []Point
		for _, z := range c.zones {
			points = append(points, Point{Value: 80 + z/2, Centre: 80, Unit: 0.5})
		}
		got := slices.ContainsFunc(Signals(points, Nelson), func(s Signal) bool { return s.Rule == "Nelson 8" })
		if got != c.want {
			t.Errorf("%s: signal %v, want %v", name, got, c.want)
		}
	}
}

// Cpk looks at the nearer limit, whichever side it is on: values mirrored between
// the limits have the same. Its definition gives 2/(3·0.5) = 1.333 for a mean 2
// from the nearer limit and a standard deviation of 0.5.
func TestCpkOfEitherSide(t *testing.T) {
	low, high := 75.0, 85.0
	groups := [][]float64{{76.5, 77.5}, {77, 77}}
	var mirrored [][]float64
	for _, g := range groups {
		mirrored = append(mirrored, []float64{low + high - g[0], low + high - g[1]})
	}
	for name, g := range map[string][][]float64{"near the low limit": groups, "near the high limit": mirrored} {
		c, err := CapabilityOf(g, 0.5, low, high)
		fatal.If(t, err)
		if math.Abs(c.Cpk.Value-2/(3*0.5)) > 1e-9 || c.Cp.Value <= c.Cpk.Value {
			t.Errorf("%s: Cp %.4f, Cpk %.4f, want a Cpk of 1.3333", name, c.Cp.Value, c.Cpk.Value)
		}
	}
}

// Montgomery, Introduction to Statistical Quality Control, the operating
// characteristic of the X-bar chart: n = 5 and a shift of 2 sigma are missed with
// β = 0.0708, and without a shift one point in 370 lies beyond the limits (both
// from memory). A shift down shows as well as one up.
func TestChanceOfSeeingAShift(t *testing.T) {
	for _, c := range []struct {
		n           int
		shift, want float64
		within      float64
	}{{5, 2, 1 - 0.0708, 0.0005}, {5, -2, 1 - 0.0708, 0.0005}, {7, 0, 1 / 370.4, 1e-5}, {1, 3, 0.5, 1e-8}, {4, 1.5, 0.5, 1e-8}} {
		if got := SeeShift(c.n, c.shift); math.Abs(got-c.want) > c.within {
			t.Errorf("%d slices, a shift of %g: %.5f, want %.5f", c.n, c.shift, got, c.want)
		}
	}
}
