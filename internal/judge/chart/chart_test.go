package chart

import (
	"encoding/csv"
	"math"
	"os"
	"slices"
	"strconv"
	"testing"

	"pgregory.net/rapid"
)

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.5f, want %.5f ± %g", what, got, want, tol)
	}
}

// Factors A2, A3, B3, B4, c4 agree with the printed table of Pyzdek, The
// Handbook for Quality Management, app. A p. 401. D3, D4, d2, d3 were computed
// independently from the normal distribution; older tables print D4 = 2.574 at
// n = 3 and 2.115 at n = 5, hence ±0.002 there.
func TestFactorsAgreeWithPublishedTable(t *testing.T) {
	for _, row := range [][]float64{
		// n, A2, D3, D4, d2, d3, A3, c4, B3, B4
		{2, 1.880, 0, 3.267, 1.128, 0.852, 2.659, 0.7979, 0, 3.267},
		{3, 1.023, 0, 2.575, 1.693, 0.888, 1.954, 0.8862, 0, 2.568},
		{4, 0.729, 0, 2.282, 2.059, 0.880, 1.628, 0.9213, 0, 2.266},
		{5, 0.577, 0, 2.114, 2.326, 0.864, 1.427, 0.9400, 0, 2.089},
		{6, 0.483, 0, 2.004, 2.534, 0.848, 1.287, 0.9515, 0.030, 1.970},
		{7, 0.419, 0.076, 1.924, 2.704, 0.833, 1.182, 0.9594, 0.118, 1.882},
		{8, 0.373, 0.136, 1.864, 2.847, 0.820, 1.099, 0.9650, 0.185, 1.815},
		{9, 0.337, 0.184, 1.816, 2.970, 0.808, 1.032, 0.9693, 0.239, 1.761},
		{10, 0.308, 0.223, 1.777, 3.078, 0.797, 0.975, 0.9727, 0.284, 1.716},
	} {
		f := FactorsFor(int(row[0]))
		name := "n " + strconv.Itoa(f.SubgroupOf) + " "
		near(t, name+"A2", f.A2, row[1], 0.0006)
		near(t, name+"D3", f.D3, row[2], 0.002)
		near(t, name+"D4", f.D4, row[3], 0.002)
		near(t, name+"d2", f.D2, row[4], 0.0006)
		near(t, name+"d3", f.SDOfRange, row[5], 0.0006)
		near(t, name+"A3", f.A3, row[6], 0.0006)
		near(t, name+"c4", f.C4, row[7], 0.00006)
		near(t, name+"B3", f.B3, row[8], 0.0006)
		near(t, name+"B4", f.B4, row[9], 0.0006)
	}
}

func rings(t *testing.T) [][]float64 {
	t.Helper()
	f, err := os.Open("testdata/pistonrings.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var out [][]float64
	for _, row := range rows {
		var g []float64
		for _, cell := range row {
			v, err := strconv.ParseFloat(cell, 64)
			if err != nil {
				t.Fatal(err)
			}
			g = append(g, v)
		}
		out = append(out, g)
	}
	return out
}

// Montgomery 1991 pp. 206-213: mean 74.00118, X-bar limits 74.014 and 73.988.
// The qcc article gives sigma 0.009785 from R-bar/d2 and the capability with
// its intervals; s-chart figures were computed independently.
func TestPistonRings(t *testing.T) {
	groups := rings(t)
	r, err := XBarR(groups, 25)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "grand mean", r.Centre, 74.00118, 0.000005)
	near(t, "X-bar upper limit from R", r.Mean[0].High, 74.01431, 0.00002)
	near(t, "X-bar lower limit from R", r.Mean[0].Low, 73.98804, 0.00002)
	near(t, "R-bar", r.Spread[0].Centre, 0.02276, 0.000005)
	near(t, "R upper limit", r.Spread[0].High, 0.04811, 0.00002)
	near(t, "sigma from R", r.Sigma, 0.009785, 0.000005)
	near(t, "first mean", r.Mean[0].Value, 74.0102, 0.000005)
	near(t, "first range", r.Spread[0].Value, 0.038, 0.000005)
	s, err := XBarS(groups, 25)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "X-bar upper limit from s", s.Mean[0].High, 74.01436, 0.00002)
	near(t, "X-bar lower limit from s", s.Mean[0].Low, 73.98799, 0.00002)
	near(t, "s-bar", s.Spread[0].Centre, 0.00924, 0.000005)
	near(t, "s upper limit", s.Spread[0].High, 0.01930, 0.00002)
	for name, p := range map[string]Pair{"R": r, "s": s} {
		var outside []int
		for i, q := range p.Mean {
			if q.Outside() {
				outside = append(outside, i+1)
			}
		}
		if !slices.Equal(outside, []int{37, 38, 39}) {
			t.Errorf("X-bar/%s: subgroups outside the limits: %v, want 37, 38, 39", name, outside)
		}
	}
	c, err := CapabilityOf(groups[:25], r.Sigma, 73.95, 74.05)
	if err != nil {
		t.Fatal(err)
	}
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
		if err != nil {
			t.Fatal(err)
		}
		scale, move := rapid.Float64Range(0.1, 10).Draw(t, "scale"), rapid.Float64Range(-50, 50).Draw(t, "move")
		moved := make([][]float64, len(groups))
		for i, g := range groups {
			for _, v := range g {
				moved[i] = append(moved[i], v*scale+move)
			}
		}
		b, err := XBarS(moved, 0)
		if err != nil {
			t.Fatal(err)
		}
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
