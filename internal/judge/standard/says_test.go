package standard

import (
	"strings"
	"testing"

	"netagauge/internal/core/fatal"
	"netagauge/internal/core/phrase"
)

// Every language says every built-in standard, and what a house changed.
func TestSays(t *testing.T) {
	own, err := Parse([]byte("name = \"ours\"\nkoba_required = true\n[length_mm]\nlow = 71\naim = 78\nhigh = 82.5\n[skew_deg]\nhigh = 15\n[verdict]\nguard = \"both\"\n"))
	fatal.If(t, err)
	for _, l := range phrase.Languages() {
		for _, s := range []Standard{Default(), Practice(), own} {
			said := ""
			for _, x := range s.Says() {
				said += l.Must(x) + "\n"
			}
			if strings.Contains(said, "⟦") {
				t.Errorf("%s: %s", l.Tag(), said)
			}
			if want := l.Must(phrase.Of("house-length", s.Length.Low, s.Length.High, s.Length.Aim)); !strings.Contains(said, want) {
				t.Errorf("%s does not say %q:\n%s", l.Tag(), want, said)
			}
			for _, want := range map[bool][]string{true: {"71", "82.5", "78", "15", "ours"}, false: {"97"}}[s.Name == "ours"] {
				if !strings.Contains(said, want) {
					t.Errorf("%s does not say %q:\n%s", l.Tag(), want, said)
				}
			}
		}
	}
}
