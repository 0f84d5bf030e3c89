package board

import (
	"testing"

	"netagauge/internal/core/piece"
	"netagauge/internal/judge/grade"
)

func TestParseOverride(t *testing.T) {
	files := []string{"a.jpg", "odd:3:name.jpg"}
	d, err := ParseOverride(piece.CountIt, "odd:3:name.jpg:2:opened like a book: fine", files)
	if err != nil || d != (FileOverride{"odd:3:name.jpg", piece.Override{Piece: 2, Kind: piece.CountIt, Reason: "opened like a book: fine"}}) {
		t.Errorf("%+v, %v", d, err)
	}
	for _, bad := range []string{"", "a.jpg", "a.jpg:2", "a.jpg:2: ", "a.jpg:0:x", "a.jpg:two:x", "b.jpg:1:x", "odd:3:name"} {
		if d, err := ParseOverride(piece.NotASlice, bad, files); err == nil {
			t.Errorf("%q gives %+v", bad, d)
		}
	}
}

func TestOverridesFollowThePiece(t *testing.T) {
	at := func(n int, x, y float64) piece.Piece {
		return piece.Piece{Number: n, Outline: [][2]float64{{x - 40, y - 17}, {x + 40, y - 17}, {x + 40, y + 17}, {x - 40, y + 17}}}
	}
	overrides := []piece.Override{
		{Piece: 1, At: [2]float64{50, 50}, Kind: piece.NotASlice, Reason: "skin"},
		{Piece: 1, At: [2]float64{50, 50}, Kind: piece.CountIt, Reason: "no, a slice"},
	}
	got, err := grade.Overrides([]piece.Piece{at(1, 150, 50), at(2, 51, 49)}, overrides)
	if d, ok := got[2]; err != nil || len(got) != 1 || !ok || !d.Counts() || d.Reason != "no, a slice" {
		t.Errorf("%v, %v: the last word about the piece at (50, 50) counts", got, err)
	}
	undone := append(overrides, piece.Override{Piece: 2, At: [2]float64{51, 49}, Kind: piece.AsMeasured})
	if got, err := grade.Overrides([]piece.Piece{at(1, 150, 50), at(2, 51, 49)}, undone); err != nil || len(got) != 0 {
		t.Errorf("%v, %v: what was decided was taken back", got, err)
	}
	if got, err := grade.Overrides([]piece.Piece{at(1, 150, 50)}, overrides[:1]); err == nil || len(got) != 0 {
		t.Errorf("%v, %v: the piece is gone", got, err)
	}
}

// A piece that seems moved by 8 mm is the same one, one 10 mm away is another: our
// setting is 9, a quarter of a slice's width.
func TestSamePlace(t *testing.T) {
	o := []piece.Override{{Piece: 1, At: [2]float64{50, 50}, Kind: piece.NotASlice, Reason: "skin"}}
	for x, same := range map[float64]bool{58: true, 60: false} {
		square := [][2]float64{{x - 40, 30}, {x + 40, 30}, {x + 40, 70}, {x - 40, 70}}
		got, err := grade.Overrides([]piece.Piece{{Number: 1, Outline: square}}, o)
		if (err == nil) != same || (len(got) == 1) != same {
			t.Errorf("moved by %g mm: %v, %v", x-50, got, err)
		}
	}
}
