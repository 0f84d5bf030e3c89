package serve

import (
	"testing"

	"netagauge/internal/coach"
	"netagauge/internal/standard"
)

// The fix that is shown in the page's language is the one the coach speaks of,
// in the coach's own words for trays that have one thing wrong.
func TestFixIsTheCoachs(t *testing.T) {
	aim := coach.PieceIn{Length: 80, Width: 35, Area: 2800, RiceCover: 1, Thickness: 4.2, Weight: 12}
	for want, change := range map[string]func(*coach.PieceIn){
		"fix-short":      func(p *coach.PieceIn) { p.Length = 68 },
		"fix-long":       func(p *coach.PieceIn) { p.Length = 95 },
		"fix-narrow":     func(p *coach.PieceIn) { p.Width = 28 },
		"fix-wide":       func(p *coach.PieceIn) { p.Width = 44 },
		"fix-light":      func(p *coach.PieceIn) { p.Weight, p.Thickness = 8, 2.8 },
		"fix-heavy":      func(p *coach.PieceIn) { p.Weight, p.Thickness = 19, 6.6 },
		"fix-triangular": func(p *coach.PieceIn) { p.Triangular, p.Taper, p.RiceCover = true, 1.2, 0.8 },
	} {
		var tray []coach.PieceIn
		for i := range 5 {
			p := aim
			p.Number = i + 1
			change(&p)
			tray = append(tray, p)
		}
		said := coach.Tray(tray, coach.TargetOf(standard.Default(), ""), coach.Cut{})
		if len(said) == 0 || fixIn(said[0]) != want || !has(want) {
			t.Errorf("want %s for %q", want, said)
		}
	}
	if got := fixIn("lengths scatter by 4 mm: hold the block still"); got != "" {
		t.Errorf("scatter is told as %s", got)
	}
}
