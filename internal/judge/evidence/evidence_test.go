package evidence

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
)

func close(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s: %v, want %v ± %v", what, got, want, within)
	}
}

// pairs spreads a table of counts, the first judge's words by row.
func pairs(table [][]int) (out [][2]int) {
	for i, row := range table {
		for j, n := range row {
			for range n {
				out = append(out, [2]int{i, j})
			}
		}
	}
	return out
}

func TestAgree(t *testing.T) {
	for _, c := range []struct {
		from      string
		table     [][]int
		kappa, se float64
		within    float64
	}{
		{"J. L. Fleiss, Statistical Methods for Rates and Proportions, 2nd ed. 1981, 13.1 (from memory)", [][]int{{75, 1, 4}, {5, 4, 1}, {0, 0, 10}}, 0.676, 0.087, 0.001},
		{"A. Agresti, Categorical Data Analysis, 2nd ed. 2002, 10.5.4: slides by two pathologists (from memory)",
			[][]int{{22, 2, 2, 0}, {5, 7, 14, 0}, {0, 2, 36, 0}, {0, 1, 17, 10}}, 0.493, 0.057, 0.0005},
		{"reference page of ci.kappa in R's statpsych", [][]int{{31, 12}, {4, 58}}, 0.6756757, 0.07344761, 5e-8},
		{"Statalist, December 2009, message 320: analytical interval of kapci", [][]int{{1395, 118}, {261, 158}}, 0.3411969207847029, 0.0262913719660408, 1e-10},
	} {
		got := Agree(pairs(c.table))
		close(t, c.from+", kappa", got.Kappa.Value, c.kappa, c.within)
		close(t, c.from+", standard error", got.SE, c.se, c.within)
	}
	got := Agree(pairs([][]int{{1395, 118}, {261, 158}}))
	close(t, "low end (the same message)", got.Kappa.Low, 0.2896667786271169, 1e-10)
	close(t, "high end (the same message)", got.Kappa.High, 0.3927270629422889, 1e-10)
	close(t, "expected agreement (the same message)", got.ByChance, 0.7022330671398995, 1e-12)
	close(t, "seen agreement (the same message)", got.Same.Share(), 0.8038302277432712, 1e-12)
}

// Who is asked first, and what the words are called, changes nothing.
func TestAgreeIsEvenHanded(t *testing.T) {
	ab, ba := Agree(pairs([][]int{{22, 2, 2}, {5, 7, 14}, {0, 2, 36}})), Agree(pairs([][]int{{22, 5, 0}, {2, 7, 2}, {2, 14, 36}}))
	close(t, "kappa the other way round", ba.Kappa.Value, ab.Kappa.Value, 1e-12)
	close(t, "its error the other way round", ba.SE, ab.SE, 1e-12)
}

func TestAgreeAtItsEnds(t *testing.T) {
	for name, c := range map[string]struct {
		table [][]int
		known bool
		kappa float64
	}{
		"nothing":             {nil, false, 0},
		"one word for all":    {[][]int{{12}}, false, 0},
		"full agreement":      {[][]int{{7, 0}, {0, 5}}, true, 1},
		"never the same":      {[][]int{{0, 6}, {6, 0}}, true, -1},
		"no more than chance": {[][]int{{4, 4}, {4, 4}}, true, 0},
	} {
		got := Agree(pairs(c.table))
		if got.Known != c.known || math.IsNaN(got.SE) || got.Kappa.High > 1 {
			t.Errorf("%s: %+v", name, got)
		}
		close(t, name, got.Kappa.Value, c.kappa, 1e-12)
	}
}

// R. G. Newcombe, Statistics in Medicine 17, 1998, 873-890, table II, method 10 (the
// paper was not read; the table as several test suites quote it).
func TestShares(t *testing.T) {
	for _, c := range []struct {
		after, before Part
		low, high     float64
	}{
		{Part{56, 70}, Part{48, 80}, 0.0524, 0.3339},
		{Part{9, 10}, Part{3, 10}, 0.1705, 0.8090},
		{Part{6, 7}, Part{2, 7}, 0.0582, 0.8062},
		{Part{5, 56}, Part{0, 29}, -0.0381, 0.1926},
		{Part{0, 10}, Part{0, 20}, -0.1611, 0.2775},
		{Part{0, 10}, Part{0, 10}, -0.2775, 0.2775},
		{Part{10, 10}, Part{0, 20}, 0.6791, 1.0000},
		{Part{10, 10}, Part{0, 10}, 0.6075, 1.0000},
	} {
		got, known := Shares(c.before, c.after, Effect{})
		if !known {
			t.Errorf("%v after %v is not known", c.after, c.before)
		}
		close(t, "value", got.Value, c.after.Share()-c.before.Share(), 1e-12)
		close(t, "low", got.Low, c.low, 5e-5)
		close(t, "high", got.High, c.high, 5e-5)
		if back, _ := Shares(c.after, c.before, Effect{}); math.Abs(back.Low+got.High) > 1e-12 || math.Abs(back.High+got.Low) > 1e-12 {
			t.Errorf("%v and %v the other way round: %v, want %v mirrored", c.after, c.before, back, got)
		}
	}
	if _, known := Shares(Part{0, 0}, Part{1, 2}, Effect{}); known {
		t.Error("a share of none is known")
	}
}

// R. G. Newcombe, Statistics in Medicine 17, 1998, 857-872, table I, Clopper-Pearson
// "exact" and score intervals (from memory).
func TestExact(t *testing.T) {
	for _, c := range []struct {
		p                           Part
		low, high, lowScore, highSc float64
	}{
		{Part{81, 263}, 0.2527, 0.3676, 0.2553, 0.3662},
		{Part{15, 148}, 0.0578, 0.1617, 0.0624, 0.1605},
		{Part{0, 20}, 0, 0.1684, 0, 0.1611},
		{Part{1, 29}, 0.0009, 0.1776, 0.0061, 0.1718},
	} {
		got := c.p.Exact(Effect{})
		close(t, "low", got.Low, c.low, 5e-5)
		close(t, "high", got.High, c.high, 5e-5)
		low, high := c.p.score(Effect{})
		close(t, "low by score", low, c.lowScore, 5e-5)
		close(t, "high by score", high, c.highSc, 5e-5)
	}
	if got := (Part{}).Exact(Effect{}); got != (Interval{0, 0, 1}) {
		t.Errorf("of none: %v", got)
	}
}

// Without a failure 1 - markⁿ: 22 of 22 show 90 % with 90 % confidence, 59 of 59 95 %
// with 95 % (S. S. Wilks, Annals of Mathematical Statistics 12, 1941, 91-96, and the
// success-run rule of reliability handbooks, from memory).
func TestAbove(t *testing.T) {
	for _, c := range []struct {
		n    int
		mark float64
	}{{22, 0.90}, {59, 0.95}} {
		if with, fewer := (Part{c.n, c.n}).Above(c.mark, Effect{}), (Part{c.n - 1, c.n - 1}).Above(c.mark, Effect{}); with < c.mark || fewer >= c.mark {
			t.Errorf("%d of %d above %v: %v, one fewer %v", c.n, c.n, c.mark, with, fewer)
		}
		close(t, "all good", (Part{c.n, c.n}).Above(c.mark, Effect{}), 1-math.Pow(c.mark, float64(c.n)), 1e-12)
	}
	for _, c := range []struct {
		p    Part
		mark float64
	}{{Part{46, 50}, 0.8}, {Part{7, 10}, 0.9}, {Part{1, 3}, 0.5}} {
		want := distuv.Binomial{N: float64(c.p.Of), P: c.mark}.CDF(float64(c.p.N - 1))
		close(t, "1 - P(N or more)", c.p.Above(c.mark, Effect{}), want, 1e-9)
	}
	for _, c := range []struct {
		p          Part
		mark, want float64
	}{{Part{0, 9}, 0.5, 0}, {Part{9, 9}, 1, 0}, {Part{0, 9}, 0, 1}, {Part{}, 0.5, 0}} {
		if got := c.p.Above(c.mark, Effect{}); got != c.want {
			t.Errorf("%v above %v: %v, want %v", c.p, c.mark, got, c.want)
		}
	}
}

// The lower end of Exact is the share that is reached with 97.5 %.
func TestAboveMeetsExact(t *testing.T) {
	for n := 1; n <= 30; n++ {
		p := Part{n, 30}
		close(t, "confidence at the lower end", p.Above(p.Exact(Effect{}).Low, Effect{}), 0.975, 1e-7)
	}
}

// Student's sleep data (Biometrika 6, 1908, 1-25) as the reference page of R's t.test
// has it: t = -1.8608 on 17.776 degrees of freedom, interval -3.3654832 to 0.2054832
// for the first less the second group (from memory).
func TestMeans(t *testing.T) {
	first := []float64{0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0.0, 2.0}
	second := []float64{1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4}
	got, known := Means(SpreadOf(second), SpreadOf(first))
	if !known || got.Clear() {
		t.Errorf("%v, known: %v", got, known)
	}
	close(t, "difference", got.Value, 0.75-2.33, 1e-12)
	close(t, "low", got.Low, -3.3654832, 5e-8)
	close(t, "high", got.High, 0.2054832, 5e-8)
	for _, few := range [][]float64{nil, {1}} {
		if _, known := Means(SpreadOf(few), SpreadOf(second)); known {
			t.Errorf("a mean of %v is compared", few)
		}
		if _, known := Means(SpreadOf(second), SpreadOf(few)); known {
			t.Errorf("%v is compared with", few)
		}
	}
	if _, known := Means(SpreadOf([]float64{2, 2}), SpreadOf([]float64{3, 3})); known {
		t.Error("values without a spread have an interval")
	}
}

// Parts, however they are cut, pool to what gonum says of all values; what is the same
// everywhere has no spread.
func TestPooled(t *testing.T) {
	values := []float64{0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0.0, 2.0}
	mean, sd := stat.MeanStdDev(values, nil)
	for _, cut := range [][]int{{10}, {1, 9}, {0, 3, 0, 7}, {2, 2, 2, 2, 2}} {
		var parts []Spread
		rest := values
		for _, n := range cut {
			parts, rest = append(parts, SpreadOf(rest[:n])), rest[n:]
		}
		got := Pooled(parts)
		if got.N != len(values) {
			t.Errorf("%v: %+v", cut, got)
		}
		close(t, "mean", got.Mean, mean, 1e-14)
		close(t, "standard deviation", got.SD, sd, 1e-14)
	}
	told := SpreadOf([]float64{4.2, 4.2, 4.2})
	if got := Pooled([]Spread{told, SpreadOf([]float64{4.2}), {}, told}); got != (Spread{N: 7, Mean: 4.2}) {
		t.Errorf("one number for all: %+v", got)
	}
	if got := Pooled(nil); got != (Spread{}) {
		t.Errorf("nothing: %+v", got)
	}
}

// Norris, a calibration of ozone monitors: NIST Statistical Reference Datasets, linear
// least squares, certified slope 1.00211681802045 with standard deviation
// 0.429796848199937e-3 on 34 degrees of freedom.
func TestDrift(t *testing.T) {
	x := []float64{0.2, 337.4, 118.2, 884.6, 10.1, 226.5, 666.3, 996.3, 448.6, 777.0, 558.2, 0.4, 0.6, 775.5, 666.9, 338.0, 447.5, 11.6,
		556.0, 228.1, 995.8, 887.6, 120.2, 0.3, 0.3, 556.8, 339.1, 887.2, 999.0, 779.0, 11.1, 118.3, 229.2, 669.1, 448.9, 0.5}
	y := []float64{0.1, 338.8, 118.1, 888.0, 9.2, 228.1, 668.5, 998.5, 449.1, 778.9, 559.2, 0.3, 0.1, 778.1, 668.8, 339.3, 448.9, 10.8,
		557.7, 228.3, 998.0, 888.8, 119.6, 0.3, 0.6, 557.6, 339.3, 888.0, 998.5, 778.9, 10.2, 117.6, 228.9, 668.4, 449.2, 0.2}
	got, known := Drift(x, y)
	if !known || !got.Clear() {
		t.Errorf("%v, known: %v", got, known)
	}
	close(t, "slope", got.Value, 1.00211681802045, 1e-12)
	const quantile = 2.0322445 // Student's t, 97.5 %, 34 degrees of freedom, printed tables: 2.032
	close(t, "half the interval", (got.High-got.Low)/2, quantile*0.429796848199937e-3, 1e-9)
	for name, c := range map[string][2][]float64{"three points": {{1, 2, 3}, {1, 2, 4}}, "one x": {{2, 2, 2, 2}, {1, 2, 3, 4}}, "uneven": {{1, 2, 3, 4}, {1, 2, 3}}} {
		if got, known := Drift(c[0], c[1]); known {
			t.Errorf("%s: %v", name, got)
		}
	}
}

// A steady hand is told to drift no more than 5 times in 100, and change as rarely.
func TestIntervalsHoldTheTruth(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 21))
	const runs = 4000
	missed := map[string]int{}
	for range runs {
		x, y, more := make([]float64, 10), make([]float64, 10), make([]float64, 6)
		for i := range x {
			x[i], y[i] = float64(i), 4.2+0.02*float64(i)+0.3*random.NormFloat64()
		}
		if i, _ := Drift(x, y); i.Low > 0.02 || i.High < 0.02 {
			missed["drift"]++
		}
		for i := range more {
			more[i] = 5 + 0.9*random.NormFloat64()
		}
		for i := range y {
			y[i] = 4.2 + 0.3*random.NormFloat64()
		}
		if i, _ := Means(SpreadOf(y), SpreadOf(more)); i.Low > 0.8 || i.High < 0.8 {
			missed["means"]++
		}
	}
	for what, n := range missed {
		if share := float64(n) / runs; share < 0.035 || share > 0.065 {
			t.Errorf("%s: %.1f %% of the intervals miss the truth, want 5", what, 100*share)
		}
	}
}
