package piece

import (
	"testing"

	"netagauge/internal/core/phrase"
)

// A tray of seven is never summed up as less, a heap holds two at the least, and a
// card is no slice.
func TestCountSays(t *testing.T) {
	square := [][2]float64{{0, 0}, {50, 0}, {50, 50}, {0, 50}}
	slice := func(v Verdict) Piece { return Piece{State: Measured, Verdict: v, Area: Of(2500, 20)} }
	tray := Tray{Pieces: []Piece{slice(Pass), slice(Pass), slice(Pass), slice(Unsure), slice(Fail),
		{Number: 6, State: Touching, Outline: square}, {Number: 7, State: Foreign, Outline: square}}}
	for _, c := range []struct {
		tray       Tray
		says, cure string
	}{
		{tray, "7 slices: 3 good, 1 close, 1 again, 2 not measured",
			"The tray is not complete. Part what touches at 6. Then take the photo again: what is not measured cannot be called good."},
		{Tray{Pieces: tray.Pieces[:3]}, "3 slices: 3 good", ""},
		{Tray{Pieces: []Piece{{Number: 1, State: CutOff}, {Number: 2, State: Glared}, {Number: 3, State: CutOff}}}, "3 slices: 0 good, 3 not measured",
			"The tray is not complete. Move 1, 3 into the field. Turn the light away from 2. Then take the photo again: what is not measured cannot be called good."},
		{Tray{Pieces: []Piece{slice(Pass)}}, "1 slice: 1 good", ""},
		// 60 cm² washed out beside slices of 25: one of them, and the light.
		{Tray{Pieces: []Piece{slice(Pass), {Number: 2, State: Glared, Outline: [][2]float64{{0, 0}, {100, 0}, {100, 60}, {0, 60}}}}}, "2 slices: 1 good, 1 not measured",
			"The tray is not complete. Turn the light away from 2. Then take the photo again: what is not measured cannot be called good."},
	} {
		says, cure := phrase.English().Must(c.tray.Count().Says()), phrase.English().Must(c.tray.Missing())
		if says != c.says || cure != c.cure {
			t.Errorf("%q, %q; want %q, %q", says, cure, c.says, c.cure)
		}
	}
}

// An estimate is written as one.
func TestEstimateIsShown(t *testing.T) {
	if got := Weight.In(Value{X: 12.34, U: 3.81, Known: true, Estimate: true}); got != "≈ 12.3 ± 3.9" {
		t.Errorf("%q", got)
	}
	if got := Weight.In(Of(12.34, 0.5)); got != "12.3 ± 0.5" {
		t.Errorf("%q", got)
	}
}
