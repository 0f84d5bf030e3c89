package desk

import (
	"bytes"
	"testing"

	"netagauge/internal/command"
	"netagauge/internal/core/fatal"
	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/judge/repeat"
	"netagauge/internal/judge/standard"
	"netagauge/internal/tell/telltest"
)

// The sentence names the limit of the length before that of the width.
func TestRepeatSaysWhichLimitIsWhose(t *testing.T) {
	var out bytes.Buffer
	to := &command.Caller{Out: &out, LanguageFlag: command.LanguageFlag{Language: phrase.English()}}
	a := repeat.Agreement{Photos: 2, Slices: 5, Spreads: []repeat.Spread{{Measure: piece.Length, Limit: 0.7}, {Measure: piece.Width, Limit: 0.3}}}
	fatal.If(t, showRepeat(a, standard.Default(), to))
	telltest.Says(t, out.String(), "0.7 mm in length and 0.3 mm in width")
}
