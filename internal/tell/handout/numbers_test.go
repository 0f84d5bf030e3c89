package handout

import (
	"slices"
	"strings"
	"testing"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/core/table"
	"netagauge/internal/judge/acceptance"
	"netagauge/internal/judge/grade"
	"netagauge/internal/judge/standard"
	"netagauge/internal/keep/board"
	"netagauge/internal/see/shape"
	"netagauge/internal/tell/figure"
)

// A certificate's row has what is printed before what was seen, lengths in mm and areas
// in cm², and both errors with their signs.
func TestCertificateRow(t *testing.T) {
	c := acceptance.Certificate{Rows: []acceptance.Row{
		{Shape: acceptance.Shape{Kind: "proof-bar-shape", Size: shape.Size{Length: 80, Area: 2800}}, Seen: shape.Size{Length: 80.25, Area: 2786}},
	}}
	got := certificateRows(c, phrase.English())[0]
	if want := []string{"80.0", "80.25", "+0.25", "28.0", "-0.50"}; !slices.Equal(got[2:], want) {
		t.Errorf("%q, want %q", got[2:], want)
	}
}

// The change since the last class has its sign, and none where the grade is as it was.
func TestTrendHasItsSign(t *testing.T) {
	l := words{phrase.English()}
	for was, want := range map[float64]string{100: "–", 130: "−30", 70: "+30", 100.2: l.Word("paper-same")} {
		x := board.Trainee{Grade: grade.Grade{Points: 1, Of: 1}}
		if was != 100 {
			x.Past = []board.Past{{Percent: was}}
		}
		if p, ok := x.Grade.Percent(); !ok || p != 100 {
			t.Fatalf("the grade is %g, %v", p, ok)
		}
		if got := l.trend(x); got != want {
			t.Errorf("after %g %% now 100 %%: %q, want %q", was, got, want)
		}
	}
}

// What a drawing shows is said to those who do not see it: how many lie below and how
// many above.
func TestDrawingOfSlicesInWords(t *testing.T) {
	p := Papers{Words: phrase.English()}
	says := p.altSlices(piece.Length, standard.Limits{Low: 75, Aim: 80, High: 85}, []figure.Row{{Values: []float64{74, 80, 81, 82}}, {Values: []float64{70, 71, 90}}})
	if !strings.HasSuffix(says, "3 within, 3 below, 1 above") {
		t.Error(says)
	}
}

// In the tables a criterion that nothing was judged by has no points, not none of them; a
// slice counts and what was left out does not.
func TestTablesTellWhatCounts(t *testing.T) {
	b := board.Board{Trainees: []board.Trainee{{
		Name:   "Aoi Example",
		Grade:  grade.Grade{Criteria: []grade.Criterion{{Name: "length", Judged: true, Points: 0, Of: 20}, {Name: "weight", Points: 0, Of: 20}}},
		Photos: []board.Photo{{File: "a.jpg", Slices: []grade.Slice{{Piece: piece.Piece{Number: 1, State: piece.Glared}}}, Others: []board.Other{{Number: 2, State: "foreign"}}}},
	}}}
	cell := func(of table.Table, row int, head string) any { return of.Rows[row][slices.Index(of.Head, head)] }
	if length, weight := cell(gradesTable(b), 0, "points"), cell(gradesTable(b), 1, "points"); length != 0.0 || weight != nil {
		t.Errorf("points for length %v, for weight %v", length, weight)
	}
	if slice, other := cell(piecesTable(b), 0, "counts"), cell(piecesTable(b), 1, "counts"); slice != true || other != false {
		t.Errorf("the slice counts: %v, the other: %v", slice, other)
	}
}
