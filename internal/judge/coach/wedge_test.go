package coach

import (
	"strings"
	"testing"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
)

func TestWedgeAdvice(t *testing.T) {
	for _, c := range []struct {
		name  string
		piece piece.Piece
		want  []string // nil for no advice
	}{
		{"not known", piece.Piece{}, nil},
		{"even", piece.Piece{WedgeAlong: piece.Of(0.4, 0.2), WedgeAcross: piece.Of(-0.3, 0.2)}, nil},
		{"thick at one end", piece.Piece{WedgeAlong: piece.Of(-1.5, 0.3)}, []string{"1.5 mm thicker at one end", "level with the last cut"}},
		{"thick along one side", piece.Piece{WedgeAcross: piece.Of(0.9, 0.3)}, []string{"0.9 mm thicker along one side", "lay"}},
		{"both", piece.Piece{WedgeAlong: piece.Of(1.2, 0.3), WedgeAcross: piece.Of(0.8, 0.3)}, []string{"1.2 mm thicker at one end", "; 0.8 mm thicker along one side"}},
		{"large but doubtful", piece.Piece{WedgeAlong: piece.Of(1.2, 1.4)}, nil},
	} {
		got := phrase.English().Must(Wedge(c.piece))
		if c.want == nil && got != "" || !containsAll(got, c.want) {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
}

// Uneven slices are spoken of together, last; a single one is not.
func TestWedgesOnATray(t *testing.T) {
	ps := good().cut()
	ps[1].WedgeAlong = piece.Of(1, 0.2)
	if got := trayAdvice(ps, nigiri, Cut{}); got != nil {
		t.Errorf("one uneven slice of ten is told as a habit: %q", got)
	}
	for i := range 4 {
		ps[i].WedgeAlong = piece.Of(-1.4, 0.2)
	}
	if got := trayAdvice(ps, nigiri, Cut{}); len(got) != 1 || !containsAll(got[0], []string{"4 of 10 slices", "on average 1.4 mm thicker at one end"}) {
		t.Errorf("advice %q", got)
	}
	h := good()
	h.dLength = 12
	for i, p := range h.cut() {
		ps[i].Length = p.Length
	}
	if got := trayAdvice(ps, nigiri, Cut{}); len(got) < 2 || !strings.Contains(got[0], "lengths differ") || !strings.Contains(got[len(got)-1], "thicker at one end") {
		t.Errorf("advice %q, want the lengths first and the uneven slices last", got)
	}
}
