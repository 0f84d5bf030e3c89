package coach

import (
	"strings"
	"testing"

	"netagauge/internal/core/phrase"
)

func TestWedgeAdvice(t *testing.T) {
	for _, c := range []struct {
		name  string
		wedge Wedge
		want  []string // nil for no advice
	}{
		{"not known", Wedge{}, nil},
		{"even", Wedge{Along: 0.4, AlongU: 0.2, Across: -0.3, AcrossU: 0.2}, nil},
		{"thick at one end", Wedge{Along: -1.5, AlongU: 0.3}, []string{"1.5 mm thicker at one end", "level with the last cut"}},
		{"thick along one side", Wedge{Across: 0.9, AcrossU: 0.3}, []string{"0.9 mm thicker along one side", "lay"}},
		{"both", Wedge{Along: 1.2, AlongU: 0.3, Across: 0.8, AcrossU: 0.3}, []string{"1.2 mm thicker at one end", "; 0.8 mm thicker along one side"}},
		{"large but doubtful", Wedge{Along: 1.2, AlongU: 1.4}, nil},
	} {
		got := phrase.English().Must(c.wedge.Text())
		if c.want == nil && got != "" || !containsAll(got, c.want) {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
}

// Uneven slices are spoken of together, last; a single one is not.
func TestWedgesOnATray(t *testing.T) {
	ps := good().cut()
	ps[1].Wedge = Wedge{Along: 1, AlongU: 0.2}
	if got := trayAdvice(ps, nigiri, Cut{}); got != nil {
		t.Errorf("one uneven slice of ten is told as a habit: %q", got)
	}
	for i := range 4 {
		ps[i].Wedge = Wedge{Along: -1.4, AlongU: 0.2}
	}
	if got := trayAdvice(ps, nigiri, Cut{}); len(got) != 1 || !containsAll(got[0], []string{"4 of 10 pieces", "on the mean 1.4 mm thicker at one end"}) {
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
