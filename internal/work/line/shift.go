package line

import (
	"strings"

	"gonum.org/v1/gonum/stat"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
)

// Shift is what the checks of a shift came to, a sentence each: what was cut and by whom,
// how even it was, and what the charts saw, with what is known about it.
func (l Line) Shift() []phrase.Text {
	if len(l.Checks) == 0 {
		return []phrase.Text{phrase.Of("shift-none")}
	}
	out := []phrase.Text{phrase.Of("shift-checks", float64(len(l.Checks))).And(Count(l.Checks).Says())}
	if names := Whose(l.Checks); len(names) > 1 {
		for _, who := range names {
			out = append(out, phrase.Named("shift-by", who).And(Count(By(l.Checks, who)).Says()))
		}
	}
	for _, m := range l.Measures {
		if even := l.even(m.Of); even != nil {
			out = append(out, even)
		}
	}
	for _, m := range l.Measures {
		out = append(out, l.seen(m)...)
	}
	return out
}

// even is how a measure of all slices lies; nil with fewer than two of them.
func (l Line) even(m *piece.Measure) phrase.Text {
	var all []float64
	for _, c := range l.Checks {
		all = append(all, m.Values(c.Slices)...)
	}
	if len(all) < 2 {
		return nil
	}
	mean, sd := stat.MeanStdDev(all, nil)
	return phrase.Named("shift-even", "fault-"+m.Key, strings.TrimSpace(m.Unit.Sign)).With(mean, sd)
}

// seen are the checks at which a measure's chart saw something, each once, with the last
// remark on it.
func (l Line) seen(m Measure) (out []phrase.Text) {
	last := int64(-1)
	for _, s := range l.SignalsOf(m) {
		if s.Check.ID == last {
			continue
		}
		last = s.Check.ID
		says, _ := l.At(m, l.Place(s.Check.ID))
		if s.Check.Known() {
			says = says.And(phrase.Named("shift-known", s.Check.Remark()))
		}
		out = append(out, says)
	}
	return out
}
