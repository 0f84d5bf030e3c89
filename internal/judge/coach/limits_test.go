package coach

import (
	"math"
	"strings"
	"testing"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
)

// Values drift when six or more follow their order at a correlation above 0.9;
// the correlations beside them are Pearson's, worked by hand.
func TestWhatIsADrift(t *testing.T) {
	for _, c := range []struct {
		name  string
		level []float64
		drift bool
	}{
		{"six in line, r = 1", []float64{70, 72, 74, 76, 78, 80}, true},
		{"six falling, r = -1", []float64{80, 78, 76, 74, 72, 70}, true},
		{"five in line, too few", []float64{70, 72, 74, 76, 78}, false},
		{"six, r = 29/35 = 0.83", []float64{71, 70, 73, 72, 75, 74}, false},
		{"six, r = 33/35 = 0.94", []float64{71, 70, 72, 73, 74, 75}, true},
	} {
		m := measure{name: "lengths", level: c.level, drift: func(float64, float64) phrase.Text { return nil }}
		says := phrase.English().Must(m.scatter())
		if got := strings.Contains(says, "lengths go from"); got != c.drift {
			t.Errorf("%s: %q, want a drift: %v", c.name, says, c.drift)
		}
	}
}

// Up to 75° the length tells how much of an end wall is seen, W being known:
// L = W/sin θ + seen/tan θ; beyond, all of it counts as seen.
func TestSteepestAngleThatTellsTheEndWall(t *testing.T) {
	const width, seen = 54.0, 1.0
	for theta, told := range map[float64]bool{60: true, 74: true, 76: false, 85: false} {
		rad := theta * math.Pi / 180
		p := piece.Piece{Length: piece.Of(width/math.Sin(rad)+seen/math.Tan(rad), 0), Thickness: piece.Of(5, 0)}
		c := Cut{BlockWidth: width, Theta: theta, Phi: 45}
		want := EndWall(5, 45)
		if told {
			want = seen
		}
		if got := c.endWall(p); math.Abs(got-want) > 1e-6 {
			t.Errorf("at %g° the end wall counts %.3f mm, want %.3f", theta, got, want)
		}
	}
}

// A tapering block's thick side lies away from the cook, in every sentence of every
// language and first of all steps. Common practice, no source.
func TestThickSideLiesAway(t *testing.T) {
	says := map[string]string{"en": "hick side away from you", "ja": "厚い側を向こう"}
	for tag, want := range says {
		l := phrase.InTag(tag)
		for _, key := range []string{"taper-start", "taper-thin", "taper-lay", "do-thick-away"} {
			if got := l.Word(key, 43.0, 21.0); !strings.Contains(got, want) {
				t.Errorf("%s, %s: %q does not say %q", tag, key, got, want)
			}
		}
	}
	if first := (Lesson{Key: piece.Triangular}).Steps()[0]; first != "do-thick-away" {
		t.Errorf("a tapering block's lesson begins with %s", first)
	}
}
