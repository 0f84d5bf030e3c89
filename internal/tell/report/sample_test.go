package report

import (
	"bytes"
	"flag"
	"math"
	"os"
	"path/filepath"
	"testing"

	"netagauge/internal/core/fatal"
	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/core/uncertainty"
)

var update = flag.Bool("update", false, "rewrite the golden files in testdata/report")

const goldenDir = "../../../testdata/report"

// golden compares with a stored output; it guards against unwanted change and
// says nothing about whether the numbers are true.
// english is the language of the golden files.
var english = Words{phrase.English()}

func golden(t *testing.T, name string, got []byte) {
	t.Helper()
	path := filepath.Join(goldenDir, name)
	if *update {
		fatal.If(t, os.MkdirAll(goldenDir, 0o755))
		fatal.If(t, os.WriteFile(path, got, 0o644))
		return
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatalf("%v; run go test ./internal/tell/report -update", err)
	}
	if !bytes.Equal(got, want) {
		t.Errorf("%s changed; got\n%s\nIf that is meant, run go test ./internal/tell/report -update and read the difference", path, got)
	}
}

func ptr[T any](v T) *T { return &v }

// slice draws the outline of a trapezoid with rounded ends: its centre, length
// and the widths at its two ends in mm, turned by deg.
func sliceOutline(cx, cy, l, w0, w1, deg float64) [][2]float64 {
	sin, cos := math.Sincos(deg * math.Pi / 180)
	var out [][2]float64
	const steps = 60
	side := func(i int, sign float64) {
		u := 2*float64(i)/steps - 1 // -1 to 1 along the slice
		w := (w0 + (w1-w0)*(u+1)/2) * math.Pow(1-math.Pow(math.Abs(u), 12), 0.4) * (1 + 0.01*math.Sin(9*u))
		x, y := u*l/2, sign*w/2
		out = append(out, [2]float64{cx + x*cos - y*sin, cy + x*sin + y*cos})
	}
	for i := 0; i <= steps; i++ {
		side(i, -1)
	}
	for i := steps - 1; i > 0; i-- {
		side(i, 1)
	}
	return out
}

// sample is an invented tray of an invented school: nothing in it was measured.
func sample() piece.Tray {
	budget := []uncertainty.Share{
		{Source: "thickness", U: 0.05, Part: 0.81, Remedy: "measure the thickness to one digit more", RemedyKey: "cure-thickness-digit"},
		{Source: "outline", U: 12.5, Part: 0.15},
		{Source: "density", U: 0.005, Part: 0.04},
	}
	slice := func(n int, cx, cy, l, w0, w1, deg float64) piece.Piece {
		w := (w0 + w1) / 2
		return piece.Piece{
			Number: n, State: piece.Measured, Outline: sliceOutline(cx, cy, l, w0, w1, deg),
			Length: piece.Of(l+0.0149, 0.381), Width: piece.Of(w+0.006, 0.3), OverallLength: piece.Of(l+0.4, 0), OverallWidth: piece.Of(w+0.9, 0),
			WidthProfile: []float64{0, w, 0}, AxisDeg: deg, Area: piece.Of(0.955*l*w, 24.31), Taper: piece.Of(1.6*(w0-w1)/(w0+w1), 0),
			Thickness: piece.Value{X: 4.1, U: 0.1, Known: true, Source: "entered"},
			Weight:    piece.Of(0.955*l*w*4.1*1.05e-3, 0.42), WeightBudget: budget,
			Cover: piece.Of(1, 0.004), Skew: piece.Of(3.137, 0.511), RicePlacement: &piece.Placement{CentreMM: [2]float64{cx, cy}, AngleDeg: deg}, Verdict: piece.Pass,
		}
	}
	good, short, narrow, tri := slice(1, 95, 75, 80.3, 35.4, 34.8, 4), slice(2, 205, 78, 71, 35, 35.6, -7),
		slice(3, 320, 80, 79, 31.7, 31.9, 12), slice(4, 95, 150, 83, 41, 8, -3)
	short.Verdict = piece.Fail
	short.Faults = []piece.Fault{{What: "length", Measured: short.Length.X, Low: ptr(75.0), High: ptr(85.0), Advice: "9.0 mm short: turn the knife from 45° to 39° to the block's long axis"}}
	narrow.Verdict = piece.Unsure
	narrow.Faults = []piece.Fault{{What: "width", Measured: narrow.Width.X, Low: ptr(32.0), High: ptr(38.0), Unsure: true, Advice: "3.2 mm narrow: lay the blade flatter"}}
	tri.Verdict, tri.Triangular, tri.Cover.X = piece.Fail, true, 0.8724
	tri.Skew = piece.Value{}
	tri.RicePlacement = &piece.Placement{CentreMM: [2]float64{88, 150.4}, AngleDeg: -3}
	tri.Faults = []piece.Fault{
		{What: "width", Measured: tri.Width.X, Low: ptr(32.0), High: ptr(38.0)},
		{What: "triangular", Measured: tri.Cover.X, Low: ptr(0.97), Advice: "open this piece like a book (kannon-biraki) if it has the weight"},
	}
	short.Skew = piece.Of(17.44, 0.511)
	short.Faults = append(short.Faults, piece.Fault{What: "skew", Measured: short.Skew.X, High: ptr(15.0), Advice: "leans 17° from a rectangle (at most 15°)"})
	upright := slice(5, 250, 170, 78, 36, 34, 86)
	return piece.Tray{
		Photo:  piece.Photo{File: "kamome-school-tray-7.jpg", WidthPx: 4032, HeightPx: 3024},
		Status: piece.TrayMeasured, Standard: "nigiri", Species: "tuna, lean",
		Facts: []piece.Fact{
			piece.NewFact("photo", phrase.Named("value-name", "2026-11-25 12:30")), piece.NewFact("print-scale", phrase.Named("value-print", "print-by-card", "").With(99.83)),
			{What: "species", Value: "tuna, lean", Says: phrase.Named("value-name", "tuna, lean"), Names: map[string]string{"ja": "マグロの赤身"}},
			piece.NewFact("density", phrase.Of("value-density", 1.0583, 0.0231).And(phrase.Of("value-density-told"))), piece.NewFact("standard", phrase.Named("value-name", "nigiri")),
		},
		Mat: &piece.Mat{Name: "a3", TagsSeen: 26, TagsTotal: 30, ResidualMM: 0.0512, PxPerMM: 8.914, TiltDeg: 4.12, CameraHeightMM: 452.3, PrintScale: 1,
			Label: "Kamome Cookery School (invented), class 3, 2026-11-25"},
		Problems: []piece.Problem{{Code: "glare", Message: "wet glare lies on piece 2", Remedy: "move the lamp to the side and take the photo again"}},
		Pieces: []piece.Piece{good, short, narrow, tri, upright,
			{Number: 6, State: piece.CutOff, Outline: sliceOutline(360, 190, 60, 35, 35, 0)},
			{Number: 7, State: piece.Foreign, Reason: "a card", Says: phrase.Of("why-card"), Outline: sliceOutline(140, 215, 85.6, 53.98, 53.98, 0)}},
		Tally: &piece.Tally{Measured: 5, NotMeasured: 1, Passed: 2, Failed: 2, Unsure: 1, MeanLength: 78.3, SpreadLength: 4.4, MeanWidth: 32.6, SpreadWidth: 4.6,
			MeanWeight: ptr(10.5), SpreadWeight: ptr(1.4), TotalWeight: ptr(52.5), Advice: []string{"most slices are right in length: keep the plan angle"}},
	}
}

// refused is an invented photo that could not be measured.
func refused() piece.Tray {
	return piece.Tray{
		Photo: piece.Photo{File: "kamome-school-tray-8.jpg", WidthPx: 4032, HeightPx: 3024}, Status: piece.TrayRefused,
		Problems: []piece.Problem{{Code: "no-mat", Message: "no mat was found in the photo", Remedy: "photograph the printed mat from above with all of its border in view"}},
	}
}

// unweighed is the sample without a thickness.
func unweighed() piece.Tray {
	r := sample()
	r.Photo.File = "kamome-school-tray-9.jpg"
	for i := range r.Pieces {
		p := &r.Pieces[i]
		p.Thickness, p.Weight, p.WeightBudget = piece.Value{}, piece.Value{}, nil
	}
	r.Tally.MeanWeight, r.Tally.SpreadWeight, r.Tally.TotalWeight = nil, nil, nil
	return r
}
