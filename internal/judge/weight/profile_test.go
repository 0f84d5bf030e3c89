package weight

import (
	"errors"
	"math"
	"reflect"
	"strings"
	"testing"

	"gonum.org/v1/gonum/stat"

	"netagauge/internal/core/fatal"
)

// profileOf makes pieces of the given areas and thicknesses, weighed exactly.
func profileOf(areas, thicknesses []float64) Profile {
	p := Profile{Species: "salmon", Cutter: "A"}
	for i, a := range areas {
		p.Pieces = append(p.Pieces, Sample{"tray.jpg", i + 1, a, a * thicknesses[i] * 1.05 / 1000})
	}
	return p
}

// By hand: with weights 1/area² the line's slope is the mean of grams per area,
// and SD the standard deviation of those as a share of it. Grams per mm² of 4, 4.4,
// 4.2, 3.8, 4.1 mm × 1.05: mean 4.305e-3, and Σ(t-4.1)² = 0.20 mm².
// t(0.975, 4) = 2.776 (Student's table, in any handbook).
func TestFitByHand(t *testing.T) {
	f, err := profileOf([]float64{2000, 2400, 2800, 3200, 2600}, []float64{4, 4.4, 4.2, 3.8, 4.1}).Fit()
	fatal.If(t, err)
	near(t, "grams per mm²", f.PerArea, 4.305e-3, 1e-9)
	near(t, "SD", f.SD, stat.StdDev([]float64{4, 4.4, 4.2, 3.8, 4.1}, nil)/4.1, 1e-9)
	near(t, "SD, by hand", f.SD, math.Sqrt(0.20/4)/4.1, 1e-9) // Σ(x-4.1)² = 0.01+0.09+0.01+0.09+0
	grams, u := f.Predict(2500)
	near(t, "prediction, g", grams, 10.7625, 1e-6)
	near(t, "its interval, g", u, 2.776*math.Sqrt(0.05)/4.1*math.Sqrt(1.2)*10.7625, 0.001)
	if !(f.Error < f.Guess) {
		t.Errorf("areas of 2000 to 3200 mm² do not beat the guess: %.3f against %.3f", f.Error, f.Guess)
	}
}

// Left out one at a time, by hand on four pieces of 2, 2, 3 and 3 cm² at equal
// thickness: the line misses none; the guesses are 3, 3, 2, 2 parts (medians of
// the others), off by 1/2, 1/2, 1/3, 1/3 of the piece.
func TestGuessByHand(t *testing.T) {
	f, err := profileOf([]float64{2000, 2000, 3000, 3000}, []float64{4, 4, 4, 4}).Fit()
	fatal.If(t, err)
	near(t, "error of the line", f.Error, 0, 1e-12)
	near(t, "error of the guess", f.Guess, (0.5+0.5+1./3+1./3)/4, 1e-12)
}

// Slices of one weight whose thickness makes up for their area: area tells
// nothing, and the fit must say so.
func TestFitThatDoesNotHelpIsRefused(t *testing.T) {
	_, err := profileOf([]float64{2000, 2500, 3000, 2800, 2200}, []float64{5, 4, 3.4, 3.6, 4.6}).Fit()
	var none NoBetterError
	if !errors.As(err, &none) || none.Fit.Error < none.Fit.Guess {
		t.Errorf("error %v, want a NoBetterError", err)
	}
	if err == nil || !strings.Contains(err.Error(), "weigh more pieces") {
		t.Errorf("the error does not say what to do: %v", err)
	}
}

// The stated interval holds 95 % of new slices: simulated with 6 pieces to the
// profile, thickness spread 10 %, seeded.
func TestPredictionCoverage(t *testing.T) {
	rng := newNormal(3)
	draw := func() (area, thick float64) { return 2500 * (1 + 0.2*rng()), 4 * (1 + 0.1*rng()) }
	inside, all := 0, 0
	for range 2000 {
		var areas, thick []float64
		for range 6 {
			a, h := draw()
			areas, thick = append(areas, a), append(thick, h)
		}
		f, err := profileOf(areas, thick).Fit()
		if errors.As(err, new(NoBetterError)) {
			f.Profile = profileOf(areas, thick) // the interval is checked all the same
		} else if err != nil {
			t.Fatal(err)
		}
		a, h := draw()
		grams, u := f.Predict(a)
		all++
		if math.Abs(grams-a*h*1.05/1000) <= u {
			inside++
		}
	}
	if share := float64(inside) / float64(all); share < 0.935 || share > 0.965 {
		t.Errorf("%.1f %% of new slices lie inside, want 95", 100*share)
	}
}

func TestProfileWeighs(t *testing.T) {
	f, err := profileOf([]float64{2000, 2400, 2800, 3200, 2600}, []float64{4, 4.4, 4.2, 3.8, 4.1}).Fit()
	fatal.If(t, err)
	w, err := f.Weigh([]Piece{{3, plainSlice(2500)}}, densityOf(1.05, 0.01))
	fatal.If(t, err)
	_, u := f.Predict(2500)
	near(t, "weight", w[0].X, 10.7625, 1e-6)
	near(t, "interval with 1 % of area", w[0].Expanded(), math.Hypot(u, 0.02*10.7625), 1e-6)
	near(t, "thickness", w[0].Thickness.X, 4.1, 1e-9)
	if w[0].Number != 3 || w[0].Thickness.Source != FromProfile || w[0].Budget[0].Source != FromProfile {
		t.Errorf("got %+v, want piece 3 from the profile", w[0])
	}
}

func TestProfileRoundTrip(t *testing.T) {
	p := profileOf([]float64{2000, 2400, 2800, 3200}, []float64{4, 4.4, 4.2, 3.8})
	text, err := p.Encode()
	fatal.If(t, err)
	back, err := ParseProfile(text)
	if err != nil || !reflect.DeepEqual(p, back) {
		t.Errorf("written and read again: %+v (%v), want %+v, by\n%s", back, err, p, text)
	}
}

func TestProfileAdd(t *testing.T) {
	tray := []Piece{{1, plainSlice(2700)}, {2, plainSlice(2500)}}
	p, err := Profile{Species: "salmon", Cutter: "A"}.Add("tray.jpg", "2:10.4", tray)
	if err != nil || len(p.Pieces) != 1 || p.Pieces[0] != (Sample{"tray.jpg", 2, 2500, 10.4}) {
		t.Errorf("got %+v, %v; want piece 2 of 2500 mm² and 10.4 g", p, err)
	}
	for weighed, want := range map[string]string{
		"3:10":      "the measured ones are 1, 2",
		"2:10.4":    "twice",
		"1:0":       "more than zero",
		"1:0.1":     "is not a slice",
		"1:118":     "is not a slice",
		"10.4":      "no slice number",
		"1:10,1:11": "gives slice 1 twice",
	} {
		_, err := p.Add("tray.jpg", weighed, tray)
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("weighed %q: error %v, want one that says %q", weighed, err, want)
		}
	}
	if len(p.Pieces) != 1 {
		t.Errorf("a refused addition changed the profile: %+v", p.Pieces)
	}
}

func TestProfileIsForItsSpecies(t *testing.T) {
	p := Profile{Species: "Salmon", Cutter: "A"}
	if err := p.CheckFor("salmon"); err != nil {
		t.Error(err)
	}
	for _, other := range []string{"squid", ""} {
		if err := p.CheckFor(other); err == nil {
			t.Errorf("a profile for salmon is taken for %q", other)
		}
	}
}

func TestParseProfileRefuses(t *testing.T) {
	head := "species = \"salmon\"\ncutter = \"A\"\n"
	piece := "[[piece]]\nphoto = \"t.jpg\"\nnumber = 1\narea_mm2 = 2500.0\nweight_g = 10.5\n"
	for name, c := range map[string]struct{ text, want string }{
		"unknown key": {head + piece + "colour = 1\n", "line 8: nothing here is called piece.colour"},
		"duplicate":   {head + "cutter = \"B\"\n", "line 3"},
		"no cutter":   {"species = \"salmon\"\n" + piece, "which cutter"},
		"twice":       {head + piece + piece, "twice"},
		"no area":     {head + strings.Replace(piece, "2500.0", "0.0", 1), "area of 0"},
		"nan":         {head + strings.Replace(piece, "10.5", "nan", 1), "is not a slice"},
		"number":      {head + strings.Replace(piece, "= 1\n", "= 0\n", 1), "1 or more"},
	} {
		_, err := LoadProfile(inFile(t, "p.toml", c.text))
		if err == nil || !strings.Contains(err.Error(), c.want) || !strings.Contains(err.Error(), "p.toml") {
			t.Errorf("%s: error %v, want one that names the file and says %q", name, err, c.want)
		}
	}
	if _, err := profileOf([]float64{2000, 2400, 2800}, []float64{4, 4, 4}).Fit(); err == nil {
		t.Error("a profile of three pieces is fitted")
	}
}
