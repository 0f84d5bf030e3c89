package serve

import (
	"slices"
	"testing"

	"netagauge/internal/judge/evidence"
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
