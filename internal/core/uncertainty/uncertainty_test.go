package uncertainty

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

func close(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s is %.6g, want %.6g within %.2g", what, got, want, tol)
	}
}

// Eurachem/CITAC guide CG 4, example A1, a cadmium calibration standard:
// c = 1000·m·P/V is 1002.7 mg/l with u = 0.9 mg/l. The guide's own figures;
// its inputs' standard uncertainties are those given here.
func TestEurachemA1(t *testing.T) {
	r := Propagate(func(x []float64) float64 { return 1000 * x[0] * x[1] / x[2] },
		Input{Source: "mass, mg", Value: Value{100.28, 0.05}},
		Input{Source: "purity", Value: Value{0.9999, 0.000058}},
		Input{Source: "volume, ml", Value: Value{100.0, 0.07}})
	close(t, "concentration, mg/l", r.X, 1002.7, 0.05)
	close(t, "standard uncertainty, mg/l", r.U, 0.9, 0.05)
	// The same by GUM 5.1.6: relative variances of a product add.
	close(t, "standard uncertainty by 5.1.6", r.U, r.X*Combine(0.05/100.28, 0.000058/0.9999, 0.07/100), 1e-5)
	if r.Budget[0].Source != "volume, ml" || r.Budget[2].Source != "purity" {
		t.Errorf("the budget is not sorted largest first: %+v", r.Budget)
	}
}

// GUM 4.3.7: half-width a of a rectangular distribution gives a/√3.
func TestRectangular(t *testing.T) {
	v := Rectangular(4.2, 0.05)
	close(t, "u", v.U, 0.0288675, 1e-7)
	close(t, "U", v.Expanded(), 0.057735, 1e-6)
	close(t, "u/x", v.Relative(), 0.0068732, 1e-6)
}

// Sums: variances add (GUM eq. 11a with c = ±1). Products and quotients:
// relative variances add (GUM 5.1.6 eq. 12), to second order for a quotient.
func TestSumsAndProducts(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		in := make([]Input, 3)
		for i := range in {
			x := rapid.Float64Range(1, 1000).Draw(rt, "x")
			in[i] = Input{Value: Value{x, x * rapid.Float64Range(1e-6, 0.02).Draw(rt, "u/x")}}
		}
		sum := Propagate(func(x []float64) float64 { return x[0] + x[1] - x[2] }, in...)
		if want := Combine(in[0].U, in[1].U, in[2].U); math.Abs(sum.U-want) > 1e-9*(1+want) {
			rt.Errorf("u of the sum is %g, the root of the squares is %g", sum.U, want)
		}
		ratio := Propagate(func(x []float64) float64 { return x[0] * x[1] / x[2] }, in...)
		want := ratio.X * Combine(in[0].Relative(), in[1].Relative(), in[2].Relative())
		if math.Abs(ratio.U-want) > 1e-3*want {
			rt.Errorf("u of the quotient is %g, from the relative variances %g", ratio.U, want)
		}
		checkBudget(rt, ratio)
	})
}

// checkBudget: the parts are the whole variance, largest first.
func checkBudget(t rapid.TB, r Result) {
	var parts, variance float64
	for i, s := range r.Budget {
		parts += s.Part
		variance += s.U * s.U
		if i > 0 && s.Part > r.Budget[i-1].Part {
			t.Errorf("part %d of the budget is larger than the one before: %+v", i, r.Budget)
		}
	}
	if r.U > 0 && math.Abs(parts-1) > 1e-9 {
		t.Errorf("the parts of the variance add to %g, not 1", parts)
	}
	if math.Abs(math.Sqrt(variance)-r.Expanded()) > 1e-9*(1+r.U) {
		t.Errorf("the contributions combine to %g, the result's U is %g", math.Sqrt(variance), r.Expanded())
	}
}

// GUM, JCGM 100:2008, Table E.1: a standard deviation of 10 observations is known to
// 24 %, of 50 to 10 %; E.4.3's 1/√(2(n-1)) gives the same.
func TestOfSpread(t *testing.T) {
	close(t, "U from 10", OfSpread(3, 10), 2*0.24*3, 0.03)
	close(t, "U from 50", OfSpread(3, 50), 2*0.10*3, 0.01)
}

func TestEdges(t *testing.T) {
	exact := Propagate(func(x []float64) float64 { return x[0] }, Input{Value: Value{X: 3}})
	if exact.X != 3 || exact.U != 0 || exact.Budget[0].Part != 0 {
		t.Errorf("an exact input gives %+v, want 3 without uncertainty", exact)
	}
	none := Propagate(func([]float64) float64 { return 7 })
	if none.X != 7 || none.U != 0 || len(none.Budget) != 0 {
		t.Errorf("no inputs give %+v, want 7 without uncertainty", none)
	}
	nan := Propagate(func(x []float64) float64 { return x[0] }, Input{Value: Value{math.NaN(), 1}})
	if !math.IsNaN(nan.X) || !math.IsNaN(nan.U) {
		t.Errorf("not-a-number in, %+v out", nan)
	}
}
