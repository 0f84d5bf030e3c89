package report

import (
	"bytes"
	"strings"
	"testing"

	"netagauge/internal/core/fatal"
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

// Advice that pieces have in common is said once, with the first of them.
func TestAdviceIsSaidOnce(t *testing.T) {
	says := func(off, percent float64) phrase.Text {
		return phrase.Of("off-narrow", off, 30, 35).And(phrase.Of("lay-flatter", percent))
	}
	piece1 := func(n int, f ...piece.Fault) piece.Piece {
		return piece.Piece{Number: n, State: piece.Measured, Verdict: piece.Fail, Faults: f}
	}
	low, high := 32.0, 38.0
	narrow := func(off, percent float64) piece.Fault {
		s := says(off, percent)
		return piece.Fault{What: "width", Measured: 30, Low: &low, High: &high, Says: s, Advice: phrase.English().Must(s)}
	}
	other := piece.Fault{What: "koba", Advice: "cut it so", Says: phrase.Of("off-wide", 1, 39, 35)}
	var b bytes.Buffer
	tray := piece.Tray{Status: piece.TrayMeasured, Pieces: []piece.Piece{piece1(1, narrow(5, 15)), piece1(3, other), piece1(4, narrow(4, 10))}}
	fatal.If(t, (Words{Language: phrase.English()}).Text(&b, false, tray))
	got := b.String()
	if n := strings.Count(got, "about 15 %"); n != 1 || strings.Contains(got, "about 10 %") || !strings.Contains(got, "do as for 1") {
		t.Errorf("%d times:\n%s", n, got)
	}
}
