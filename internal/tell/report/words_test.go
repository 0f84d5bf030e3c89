package report

import (
	"testing"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
)

// Whatever can be wrong with a slice has a mark and a name in every language.
func TestEveryFaultHasWords(t *testing.T) {
	keys := []string{piece.NoKoba}
	for _, m := range piece.Measures {
		keys = append(keys, m.Little, m.Much)
		keys = append(keys, m.Reasons...)
	}
	for _, l := range phrase.Languages() {
		for _, key := range keys {
			if key != "" && !l.Has("mark-"+key) {
				t.Errorf("%s: a slice that is %s has no mark", l.Tag(), key)
			}
		}
		for _, state := range []piece.State{piece.CutOff, piece.Touching, piece.Foreign} {
			if !l.Has("mark-"+string(state)) || !l.Has("state-"+string(state)) {
				t.Errorf("%s: a piece that is %s has no words", l.Tag(), state)
			}
		}
		for _, v := range []piece.Verdict{piece.Pass, piece.Fail, piece.Unsure} {
			if !l.Has("verdict-" + string(v)) {
				t.Errorf("%s: the verdict %s has no words", l.Tag(), v)
			}
		}
	}
}
