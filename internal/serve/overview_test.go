package serve

import (
	"slices"
	"testing"

	"netagauge/internal/core/piece"
	"netagauge/internal/judge/evidence"
	"netagauge/internal/keep/book"
)

// The site that drifts is first, then the smaller share, then who has no tray.
func TestWorstFirst(t *testing.T) {
	share := func(v float64) *dayData { return &dayData{Share: evidence.Interval{Value: v}} }
	sites := []siteDay{{Title: "idle"}, {Title: "good", Day: share(0.9)}, {Title: "poor", Day: share(0.4)}, {Title: "drifting", Day: share(0.95), Drifts: []drift{{}}}}
	slices.SortStableFunc(sites, worstFirst)
	var got []string
	for _, s := range sites {
		got = append(got, s.Title)
	}
	if want := []string{"drifting", "poor", "good", "idle"}; !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
}

// A signal is told while the newest check completes it, and no longer once a check came
// that says nothing of the measure.
func TestDriftIsTheNewestChecks(t *testing.T) {
	var line []book.Tally
	check := func(mean float64) {
		line = append(line, book.Tally{Of: map[*piece.Measure]book.Spread{piece.Weight: {Spread: evidence.Spread{N: 5, Mean: mean, SD: 0.4}}}})
	}
	for i := range 12 {
		check(12 + 0.1*float64(i%2))
	}
	check(16)
	if got := drifts(line); len(got) != 1 || got[0].Measure != piece.Weight.Key {
		t.Errorf("4 g too heavy is told as %+v", got)
	}
	if got := drifts(append(line, book.Tally{Of: map[*piece.Measure]book.Spread{}})); len(got) != 0 {
		t.Errorf("told by a check without weights: %+v", got)
	}
}
