package coach

import (
	"strings"
	"testing"

	"pgregory.net/rapid"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
)

// Degrees follow from an angle or a block's size that was told; from nothing told
// no number of degrees follows, whatever the slices are like.
func TestNoDegreesUntold(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h := hand{
			width: rapid.Float64Range(25, 90).Draw(t, "block width"), height: rapid.Float64Range(10, 60).Draw(t, "block height"),
			theta: rapid.Float64Range(20, 90).Draw(t, "theta"), phi: rapid.Float64Range(25, 90).Draw(t, "phi"),
			thick: rapid.Float64Range(2, 9).Draw(t, "thickness"), growLength: rapid.Float64Range(0, 30).Draw(t, "drift"),
		}
		pieces := h.cut()
		says := Tray(pieces, nigiri, Cut{})
		for _, p := range pieces {
			for _, a := range Piece(p, nigiri, Cut{}) {
				says = append(says, a.Text)
			}
		}
		for _, text := range says {
			if s := phrase.English().Must(text); strings.Contains(s, "°") {
				t.Fatalf("nobody told an angle: %s", s)
			}
		}
	})
}

// estimated are six good slices with weights from one thickness for all.
func estimated(mean, u float64) []piece.Piece {
	var out []piece.Piece
	for n := range 6 {
		w := piece.Of(mean+0.1*float64(n), u)
		w.Estimate = true
		out = append(out, piece.Piece{Number: n + 1, Length: piece.Of(80, 0), Width: piece.Of(35, 0), Area: piece.Of(2600, 0),
			Cover: piece.Of(1, 0), Thickness: piece.Of(4.2, 0), Weight: w})
	}
	return out
}

// A mean that is off by less than it is known asks for no change.
func TestMeanWithinItsUncertainty(t *testing.T) {
	tray := func(length, u float64) []piece.Piece {
		var out []piece.Piece
		for n := range 6 {
			out = append(out, piece.Piece{Number: n + 1, Length: piece.Of(length+float64(n%2), u), Width: piece.Of(35, 0), Cover: piece.Of(1, 0)})
		}
		return out
	}
	high := nigiri.LengthHigh - 0.5 // every second slice is too long
	if got := Tray(tray(high, 1), nigiri, Cut{}); len(got) == 0 {
		t.Error("a mean that is surely off is kept quiet about")
	}
	if got := Tray(tray(high, 6), nigiri, Cut{}); len(got) > 0 {
		t.Errorf("U covers the gap: %s", phrase.English().Must(got[0]))
	}
}

// An estimate for the tray's mean says nothing of a slice, nothing of how slices
// differ, and of the mean only what its uncertainty does not cover.
func TestEstimatedWeights(t *testing.T) {
	for name, c := range map[string]struct {
		mean, u float64
		says    string
	}{
		"too heavy by less than U": {nigiri.WeightHigh + 1, 3.8, ""},
		"too light by less than U": {nigiri.WeightLow - 1, 3.8, ""},
		"too heavy by more than U": {nigiri.WeightHigh + 4, 3.0, "too heavy"},
		"too light by more than U": {nigiri.WeightLow - 4, 3.0, "too light"},
	} {
		var said []string
		for _, text := range Tray(estimated(c.mean, c.u), nigiri, Cut{}) {
			said = append(said, phrase.English().Must(text))
		}
		switch got := strings.Join(said, "\n"); {
		case c.says == "" && got != "":
			t.Errorf("%s: %s", name, got)
		case c.says != "" && !strings.Contains(got, c.says), strings.Contains(got, "differ"):
			t.Errorf("%s: %q", name, got)
		}
		for _, p := range estimated(c.mean, c.u) {
			if a := Piece(p, nigiri, Cut{}); a != nil {
				t.Errorf("%s: advice on one slice: %v", name, a)
			}
		}
	}
}
