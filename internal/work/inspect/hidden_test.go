package inspect

import (
	"os"
	"testing"

	"netagauge/internal/core/piece"
	"netagauge/internal/judge/grade"
	"netagauge/internal/judge/standard"
)

// Seven slices lie on each tray, two of them so that they cannot be measured:
// on top of each other, washed out by a lamp. The headline counts seven,
// and the grade is not better than that of the same tray with two slices that fail
// in everything; under a standard that leaves out what was not measured it may be.
func TestHidingSlicesPaysNothing(t *testing.T) {
	const slices = 7
	for _, name := range []string{"overlap", "glare"} {
		data, err := os.ReadFile("../../../testdata/hidden/" + name + ".jpg")
		if err != nil {
			t.Fatal(err)
		}
		r := check(t, input(name, data))
		c := r.Count()
		if c.Slices() != slices || c.NotMeasured == 0 || c.Measured() != len(r.MeasuredPieces()) {
			t.Errorf("%s: %+v, want %d slices, some not measured", name, c, slices)
		}
		house := standard.Default()
		got := percent(t, r, house)
		shown := r
		shown.Pieces = r.MeasuredPieces()
		for range slices - c.Measured() {
			shown.Pieces = append(shown.Pieces, failing(r.MeasuredPieces()[0], len(shown.Pieces)+1))
		}
		if failed := percent(t, shown, house); got > failed+1e-9 {
			t.Errorf("%s: graded %.1f %%, with the hidden slices failed %.1f %%", name, got, failed)
		}
		house.Grading.Unmeasured = standard.UnmeasuredLeftOut
		if out := percent(t, r, house); out < got {
			t.Errorf("%s: left out, hidden slices cost points: %.1f %%, else %.1f %%", name, out, got)
		}
	}
}

// Two slices that touch by a corner are measured like the others.
func TestSlicesThatTouchAreMeasured(t *testing.T) {
	data, err := os.ReadFile("../../../testdata/hidden/touch.jpg")
	if err != nil {
		t.Fatal(err)
	}
	if c := check(t, input("touch", data)).Count(); c.Measured() != 7 || c.NotMeasured != 0 {
		t.Errorf("%+v, want 7 slices, all measured", c)
	}
}

func percent(t *testing.T, r piece.Tray, s standard.Standard) float64 {
	t.Helper()
	p, graded := grade.Of([]grade.Tray{{File: "tray.jpg", Report: r}}, 0, s).Percent()
	if !graded {
		t.Fatal("the tray has no grade")
	}
	return p
}

// failing is a slice that fails in every criterion, though it is as large as the
// others: an uneven one would cost more still.
func failing(like piece.Piece, number int) piece.Piece {
	like.Number, like.Verdict, like.Triangular = number, piece.Fail, false
	like.Faults = nil
	for _, m := range []*piece.Measure{piece.Length, piece.Width} {
		like.Faults = append(like.Faults, piece.Fault{What: m.Key})
	}
	like.Faults = append(like.Faults, piece.Fault{What: piece.Ragged})
	return like
}
