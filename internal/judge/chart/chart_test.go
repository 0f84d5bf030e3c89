package chart

import (
	"encoding/csv"
	"math"
	"os"
	"slices"
	"strconv"
	"testing"

	"pgregory.net/rapid"

	"netagauge/internal/core/fatal"
)

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.5f, want %.5f ± %g", what, got, want, tol)
	}
}

// The limits have the factors A3, B3, B4 and c4 of the printed table of Pyzdek, The
// Handbook for Quality Management, app. A p. 401: a chart's means lie within A3
// times the mean standard deviation, that between B3 and B4 times it.
func TestFactorsAgreeWithPublishedTable(t *testing.T) {
	for _, row := range [][]float64{
		// n, A3, c4, B3, B4
		{2, 2.659, 0.7979, 0, 3.267},
		{3, 1.954, 0.8862, 0, 2.568},
		{4, 1.628, 0.9213, 0, 2.266},
		{5, 1.427, 0.9400, 0, 2.089},
		{6, 1.287, 0.9515, 0.030, 1.970},
		{7, 1.182, 0.9594, 0.118, 1.882},
		{8, 1.099, 0.9650, 0.185, 1.815},
		{9, 1.032, 0.9693, 0.239, 1.761},
		{10, 0.975, 0.9727, 0.284, 1.716},
	} {
		group := make([]float64, int(row[0]))
		for i := range group {
			group[i] = float64(i)
		}
		p, err := XBarS([][]float64{group, group}, 0)
		fatal.If(t, err)
		mean, s := p.Mean[0], p.Spread[0]
		name := "n " + strconv.Itoa(len(group)) + " "
		near(t, name+"A3", (mean.High-mean.Centre)/s.Centre, row[1], 0.0006)
		near(t, name+"c4", s.Centre/p.Sigma, row[2], 0.00006)
		near(t, name+"B3", s.Low/s.Centre, row[3], 0.0006)
		near(t, name+"B4", s.High/s.Centre, row[4], 0.0006)
	}
}

func rings(t *testing.T) [][]float64 {
	t.Helper()
	f, err := os.Open("testdata/pistonrings.csv")
	fatal.If(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	fatal.If(t, err)
	var out [][]float64
	for _, row := range rows {
		var g []float64
		for _, cell := range row {
			v, err := strconv.ParseFloat(cell, 64)
			fatal.If(t, err)
			g = append(g, v)
		}
		out = append(out, g)
	}
	return out
}

// Montgomery 1991 pp. 206-213: mean 74.00118, X-bar limits 74.014 and 73.988.
// The qcc article gives the capability with its intervals for a sigma of 0.009785;
// s-chart figures were computed independently.
func TestPistonRings(t *testing.T) {
	groups := rings(t)
	s, err := XBarS(groups, 25)
	fatal.If(t, err)
	near(t, "grand mean", s.Centre, 74.00118, 0.000005)
	near(t, "first mean", s.Mean[0].Value, 74.0102, 0.000005)
	near(t, "X-bar upper limit from s", s.Mean[0].High, 74.01436, 0.00002)
	near(t, "X-bar lower limit from s", s.Mean[0].Low, 73.98799, 0.00002)
	near(t, "s-bar", s.Spread[0].Centre, 0.00924, 0.000005)
	near(t, "s upper limit", s.Spread[0].High, 0.01930, 0.00002)
	var outside []int
	for i, q := range s.Mean {
		if q.Outside() {
			outside = append(outside, i+1)
		}
	}
	if !slices.Equal(outside, []int{37, 38, 39}) {
		t.Errorf("subgroups outside the limits: %v, want 37, 38, 39", outside)
	}
	c, err := CapabilityOf(groups[:25], 0.009785, 73.95, 74.05)
	fatal.If(t, err)
	for _, k := range []struct {
		name            string
		got             Ratio
		value, low, top float64
	}{{"Cp", c.Cp, 1.703, 1.491, 1.915}, {"Cpk", c.Cpk, 1.663, 1.448, 1.878}} {
		near(t, k.name, k.got.Value, k.value, 0.0006)
		near(t, k.name+" lower", k.got.Low, k.low, 0.0006)
		near(t, k.name+" upper", k.got.High, k.top, 0.0006)
	}
}

// Montgomery's operating-characteristic example and run lengths: n = 5 and a
// shift of 2 sigma give β = 0.0708, read from a table at z = −1.47 where −1.472
// is exact, hence the tolerance; without a shift one point in 370 is beyond the
// limits (both from memory).
func TestSeeShift(t *testing.T) {
	near(t, "missed 2 sigma with 5", 1-SeeShift(5, 2), 0.0708, 0.0004)
	near(t, "run length without shift", 1/SeeShift(5, 0), 370.4, 0.05)
	if n, ok := SizeToSee(1, 0.9); !ok || SeeShift(n, 1) < 0.9 || SeeShift(n-1, 1) >= 0.9 {
		t.Errorf("SizeToSee(1, 0.9) = %d, %v: not the smallest", n, ok)
	}
	if n, ok := SizeToSee(0.01, 0.9); ok {
		t.Errorf("a shift of 0.01 sigma cannot be seen at once, got %d", n)
	}
}

func zonesAsPoints(z ...float64) []Point {
	var out []Point
	for _, v := range z {
		out = append(out, Point{Value: 10 + 2*v, Centre: 10, Unit: 2})
	}
	return out
}

// Each rule against a series that breaks only it, and one point short of it.
func TestRunRules(t *testing.T) {
	repeat := func(n int, z ...float64) (out []float64) {
		for i := range n {
			out = append(out, z[i%len(z)])
		}
		return out
	}
	for _, c := range []struct {
		rules []rule
		name  string
		zones []float64
	}{
		{WesternElectric, "Western Electric 1", []float64{0.5, 3.1}},
		{WesternElectric, "Western Electric 2", []float64{2.1, -0.5, 2.2}},
		{WesternElectric, "Western Electric 3", []float64{-1.1, -1.2, 0.3, -1.3, -1.4}},
		{WesternElectric, "Western Electric 4", repeat(8, 0.2, 0.5)},
		{Nelson, "Nelson 1", []float64{-3.1}},
		{Nelson, "Nelson 2", repeat(9, 0.2, 0.9, 0.5)},
		{Nelson, "Nelson 3", []float64{-0.5, -0.3, -0.1, 0.1, 0.3, 0.5}},
		{Nelson, "Nelson 4", repeat(14, 0.5, -1.5)},
		{Nelson, "Nelson 5", []float64{-2.1, 0.5, -2.2}},
		{Nelson, "Nelson 6", []float64{1.1, 1.2, -0.3, 1.3, 1.4}},
		{Nelson, "Nelson 7", repeat(15, 0.5, 0.5, -0.5)},
		{Nelson, "Nelson 8", repeat(8, 1.5, -1.5)},
	} {
		got := Signals(zonesAsPoints(c.zones...), c.rules)
		if len(got) != 1 || got[0].Rule != c.name || got[0].Point != len(c.zones)-1 {
			t.Errorf("%s: %v gives %v", c.name, c.zones, got)
		}
		if got := Signals(zonesAsPoints(c.zones[:len(c.zones)-1]...), c.rules); len(got) != 0 {
			t.Errorf("%s: one point short gives %v", c.name, got)
		}
	}
}

func TestChartRefuses(t *testing.T) {
	for name, groups := range map[string][][]float64{
		"one subgroup":       {{1, 2}},
		"subgroup of one":    {{1, 2}, {3}},
		"not a number":       {{1, 2}, {3, math.NaN()}},
		"nothing":            nil,
		"infinite":           {{1, 2}, {3, math.Inf(1)}},
		"subgroup too large": {{1, 2}, make([]float64, MaxSubgroup+1)},
	} {
		if _, err := XBarS(groups, 0); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
	if _, err := CapabilityOf([][]float64{{1, 1}, {1, 1}}, 0, 0, 2); err == nil {
		t.Error("capability without spread: no error")
	}
}

// Scaling and moving the values moves the chart with them and changes no signal.
func TestChartFollowsUnits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		groups := rapid.SliceOfN(rapid.SliceOfN(rapid.Float64Range(60, 90), 2, 9), 2, 20).Draw(t, "groups")
		a, err := XBarS(groups, 0)
		fatal.If(t, err)
		scale, move := rapid.Float64Range(0.1, 10).Draw(t, "scale"), rapid.Float64Range(-50, 50).Draw(t, "move")
		moved := make([][]float64, len(groups))
		for i, g := range groups {
			for _, v := range g {
				moved[i] = append(moved[i], v*scale+move)
			}
		}
		b, err := XBarS(moved, 0)
		fatal.If(t, err)
		for i := range a.Mean {
			if want := a.Mean[i].High*scale + move; math.Abs(b.Mean[i].High-want) > 1e-6 {
				t.Fatalf("upper limit %d: %g, want %g", i, b.Mean[i].High, want)
			}
			if want := a.Spread[i].Value * scale; math.Abs(b.Spread[i].Value-want) > 1e-6 {
				t.Fatalf("spread %d: %g, want %g", i, b.Spread[i].Value, want)
			}
		}
	})
}
