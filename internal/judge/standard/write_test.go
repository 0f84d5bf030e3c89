package standard

import (
	"testing"

	"netagauge/internal/core/fatal"
	"netagauge/internal/core/piece"
)

// A standard that is written reads back as itself, also one that asks for straight
// slices.
func TestWritten(t *testing.T) {
	for _, s := range []Standard{Default(), Practice(), func() Standard { s := Default(); s.Name, s.Skew = `"odd" \ name`, &Most{High: 12.5}; return s }()} {
		text, err := s.TOML()
		fatal.If(t, err)
		back, err := Parse(text)
		if err != nil {
			t.Fatalf("%v\n%s", err, text)
		}
		if s.Skew != nil && back.Skew != nil && *s.Skew == *back.Skew {
			back.Skew = s.Skew
		}
		if back != s {
			t.Errorf("%+v\nbecomes %+v", s, back)
		}
	}
}

// Held against another standard a slice keeps its measures, and a weight that was told
// of the whole tray comes to count, or ceases to, with the width of the band: by hand,
// 0.6 g is below a quarter of 10 to 15 g and not of 10 to 12 g.
func TestRejudged(t *testing.T) {
	p := good()
	p.Weight, p.Thickness = piece.Value{X: 9, U: 0.6, Known: true, Estimate: true}, piece.Value{X: 4, Known: true, Estimate: true}
	s := Default()
	if got := s.Rejudged(p, "white"); got.Verdict != piece.Pass || !got.Weight.Estimate {
		t.Errorf("a band of 2 g: %s, estimate %v", got.Verdict, got.Weight.Estimate)
	}
	got := s.Rejudged(p, "")
	if got.Verdict != piece.Fail || got.Weight.Estimate || got.Length != p.Length {
		t.Errorf("a band of 5 g: %+v", got)
	}
	if again := s.Rejudged(got, "white"); again.Verdict != piece.Pass || !again.Weight.Estimate {
		t.Errorf("and back: %s, estimate %v", again.Verdict, again.Weight.Estimate)
	}
}
