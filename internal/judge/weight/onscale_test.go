package weight

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"netagauge/internal/core/fatal"
	"netagauge/internal/core/uncertainty"
)

// A slice on the scale weighs what the scale says, whatever its density: ± half a
// scale interval, rectangular (GUM F.2.2.1), so U = 2·0.1/√12 = 0.058 g.
func TestOnScale(t *testing.T) {
	r, err := ParseWeights("2:11.8, 3:12", "")
	fatal.If(t, err)
	entered, err := ParseThickness("4.2")
	fatal.If(t, err)
	pieces := []Piece{{1, plainSlice(2700)}, {2, plainSlice(2600)}, {3, plainSlice(2500)}}
	for _, rho := range []float64{1.02, 1.07} {
		d := densityOf(rho, 0.01)
		ws, err := OnScale{r, entered}.Weigh(pieces, d)
		if err != nil || len(ws) != 3 {
			t.Fatalf("%d of 3 slices weighed: %v", len(ws), err)
		}
		by := map[int]Weighed{}
		for _, w := range ws {
			by[w.Number] = w
		}
		near(t, "weight by the thickness", by[1].X, 2700*4.2*rho/1000, 1e-9)
		near(t, "weight on the scale", by[2].X, 11.8, 0)
		near(t, "its expanded uncertainty", by[2].Expanded(), 2*0.1/math.Sqrt(12), 1e-9)
		near(t, "that of a reading without decimals", by[3].Expanded(), 2*0.1/math.Sqrt(12), 1e-9)
		near(t, "thickness by weight and face", by[2].Thickness.X, 11.8*1000/(2600*rho), 1e-9)
		if by[2].Thickness.Source != FromScale || by[1].Thickness.Source != FromEntered {
			t.Errorf("thickness from %q and %q", by[2].Thickness.Source, by[1].Thickness.Source)
		}
	}
	if ws, err := (OnScale{r, nil}).Weigh(pieces, densityOf(1.05, 0.01)); err != nil || len(ws) != 2 {
		t.Errorf("without a thickness %d slices are weighed, want the two on the scale (%v)", len(ws), err)
	}
}

// The thickness that a weight means is the one at which Weigh gives that weight,
// walls that lean and all, and its interval holds that of the density.
func TestThicknessFromWeight(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		s := plainSlice(rapid.Float64Range(1500, 3500).Draw(rt, "area"))
		s.Lean.X = rapid.Float64Range(0, 1.5).Draw(rt, "lean")
		d := densityOf(rapid.Float64Range(1, 1.1).Draw(rt, "density"), 0.01)
		w, err := Weigh(s, thicknessOf(rapid.Float64Range(1, 6).Draw(rt, "t"), 0.1), d)
		if err != nil {
			rt.Skip(err)
		}
		got, err := s.thicknessFor(uncertainty.Value{X: w.X, U: 0.03}, d)
		if err != nil || math.Abs(got.X-w.Thickness.X) > 1e-6 {
			rt.Errorf("%g g means %g mm (%v), it was %g mm", w.X, got.X, err, w.Thickness.X)
		}
		if least := got.X * math.Hypot(0.03/w.X, d.Relative()); got.U < 0.99*least {
			rt.Errorf("u of %g mm, the scale and the density alone leave %g", got.U, least)
		}
	})
}

// A thickness that both photos show better than the scale tells it stays.
func TestBetterKnownThicknessStays(t *testing.T) {
	r, err := ParseWeights("1:12", "1")
	fatal.If(t, err)
	seen := Seen{Each: map[int]uncertainty.Value{1: {X: 4.4, U: 0.01}}}
	ws, err := OnScale{r, seen}.Weigh([]Piece{{1, plainSlice(2600)}}, densityOf(1.05, 0.01))
	if err != nil || len(ws) != 1 || ws[0].X != 12 || ws[0].Thickness.Source != FromSecondPhoto {
		t.Errorf("%+v, %v", ws, err)
	}
}

func TestWeightsRefuse(t *testing.T) {
	for text, want := range map[string]string{
		"": "no slice number", "11.8": "no slice number", "1:0": "more than zero", "1:-3": "more than zero", "1:11,8": "no slice number",
		"1:11.8,1:12": "gives slice 1 twice", "1:heavy": "plain number", "0:11": "no slice number",
	} {
		if r, err := ParseWeights(text, ""); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("weights %q: %+v, %v; want one that says %q", text, r, err, want)
		}
	}
	for _, d := range []string{"0", "-1", "5", "g", "NaN"} {
		if _, err := ParseWeights("1:12", d); err == nil || !strings.Contains(err.Error(), "scale interval") {
			t.Errorf("scale interval %q: %v", d, err)
		}
	}
	pieces := []Piece{{1, plainSlice(2600)}, {2, plainSlice(2600)}}
	for text, want := range map[string]string{"3:12": "the measured ones are 1, 2", "2:118": "slice 2: 118 g on 26 cm² cannot be", "1:0.5": "cannot be"} {
		r, err := ParseWeights(text, "")
		fatal.If(t, err)
		if ws, err := (OnScale{r, nil}).Weigh(pieces, densityOf(1.05, 0.01)); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("weights %q: %+v, %v; want one that says %q", text, ws, err, want)
		}
	}
}

func FuzzParseWeights(f *testing.F) {
	for _, s := range []string{"1:11.8,2:12.4", "1:", "11.8", "1:1:1", " 2 : 12 ", "1:1e3"} {
		f.Add(s, "0.1")
	}
	f.Fuzz(func(t *testing.T, text, interval string) {
		r, err := ParseWeights(text, interval)
		for n := 1; n <= 20 && err == nil; n++ {
			if v, weighed := r.reading(n); weighed && !(v.X > 0 && v.U > 0 && v.U <= widestInterval) {
				t.Errorf("%q with %q gives piece %d %g ± %g g", text, interval, n, v.X, v.U)
			}
		}
	})
}

// A lean that is hardly known varies beyond what a slice of that weight can have;
// its thickness stays a number with an interval.
func TestOnScaleOfVagueLean(t *testing.T) {
	r, err := ParseWeights("1:12", "")
	fatal.If(t, err)
	s := plainSlice(2400)
	s.Lean.X, s.Lean.U = 1.2, 1.2
	ws, err := OnScale{r, nil}.Weigh([]Piece{{1, s}}, densityOf(1.05, 0.01))
	if err != nil || len(ws) != 1 || !(ws[0].Thickness.U > 0) || math.IsInf(ws[0].Thickness.U, 0) {
		t.Errorf("%+v, %v", ws, err)
	}
}
