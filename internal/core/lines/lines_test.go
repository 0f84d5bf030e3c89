package lines

import (
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"
)

// letter counts each letter as one.
func letter(s string) float64 { return float64(utf8.RuneCountInString(s)) }

func TestBreak(t *testing.T) {
	for _, c := range []struct {
		text  string
		width float64
		want  []string
	}{
		{"Tanaka Anna", 7, []string{"Tanaka", "Anna"}},
		{"Tanaka Anna", 11, []string{"Tanaka Anna"}},
		{"Bartholomaeus", 5, []string{"Barth", "oloma", "eus"}},
		{"one\ntwo", 20, []string{"one", "two"}},
		{"魚は冷たく。", 5, []string{"魚は冷た", "く。"}},       // never before a full stop
		{"Ann は「もう」", 6, []string{"Ann は", "「もう」"}}, // nor after an opening mark
		{"81.9 × 32.6 mm, ≈ 10.9 ± 4.2 g", 14, []string{"81.9 × 32.6", "mm,", "≈ 10.9 ± 4.2 g"}},
		{"魚", 0.5, []string{"魚"}},
		{"", 5, []string{""}},
	} {
		if got := Break(c.text, c.width, letter); !slices.Equal(got, c.want) {
			t.Errorf("%q in %g: %q, want %q", c.text, c.width, got, c.want)
		}
	}
}

// Nothing but spaces is lost, and nothing is wider than a line.
func TestBreakLosesNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.StringOf(rapid.RuneFrom([]rune("ab. 魚は。「」\n"))).Draw(t, "text")
		width := float64(rapid.IntRange(1, 12).Draw(t, "width"))
		got := Break(s, width, letter)
		bare := strings.NewReplacer(" ", "", "\n", "")
		if bare.Replace(strings.Join(got, "")) != bare.Replace(s) {
			t.Fatalf("%q became %q", s, got)
		}
		for _, l := range got {
			if letter(l) > width {
				t.Fatalf("%q is wider than %g", l, width)
			}
		}
	})
}

func TestWidest(t *testing.T) {
	for text, want := range map[string]float64{"": 0, "Tanaka Anna ": 6, "a\nbcd e": 3, "魚は。": 2} {
		if got := Widest(text, letter); got != want {
			t.Errorf("the widest word of %q is %g, want %g", text, got, want)
		}
	}
}
