package line

import (
	"slices"

	"netagauge/internal/core/phrase"
	"netagauge/internal/judge/chart"
)

// Signal is a rule that a measure's chart breaks, at the check that completes it.
type Signal struct {
	chart.Signal
	Check  Check
	Spread bool // on the chart of spread
}

// SignalsOf are those of a measure, in the order of the checks.
func (l Line) SignalsOf(m Measure) []Signal {
	var out []Signal
	for spread, some := range [][]chart.Signal{m.Mean, m.Spread} {
		for _, s := range some {
			out = append(out, Signal{s, l.Checks[m.Checks[s.Point]], spread == 1})
		}
	}
	slices.SortStableFunc(out, func(a, b Signal) int { return a.Point - b.Point })
	return out
}

// At is what a check, by its place in Checks, means for a measure's chart: in words,
// and the signals that it completes.
func (l Line) At(m Measure, place int) (says phrase.Text, signals []Signal) {
	c := l.Checks[place]
	for _, s := range l.SignalsOf(m) {
		if s.Check.ID == c.ID {
			signals = append(signals, s)
		}
	}
	key := "line-usual"
	switch {
	case m.Why != nil || !slices.Contains(m.Checks, place):
		key = "line-uncharted"
	case slices.ContainsFunc(signals, func(s Signal) bool { return s.Spread }):
		key = "line-varies"
	case len(signals) > 0:
		key = "line-moved"
	case l.Trial() != nil:
		key = "line-early"
	}
	says = phrase.Named(key, "fault-"+m.Name).With(float64(c.Number))
	if len(signals) > 0 {
		says = says.And(phrase.Of("space"), phrase.Of("look-"+m.Name))
	}
	return says, signals
}

// Place is where a check is among the checks, -1 where it is not.
func (l Line) Place(id int64) int {
	return slices.IndexFunc(l.Checks, func(c Check) bool { return c.ID == id })
}

// Signals reports whether a check completes a signal that nobody has remarked on.
func (l Line) Signals(id int64) bool {
	place := l.Place(id)
	if place < 0 || l.Checks[place].Known() {
		return false
	}
	for _, m := range l.Measures {
		if _, signals := l.At(m, place); len(signals) > 0 {
			return true
		}
	}
	return false
}
