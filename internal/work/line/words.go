package line

import (
	"io"
	"math"
	"strings"
	"time"

	"netagauge/internal/core/phrase"
	"netagauge/internal/judge/chart"
	"netagauge/internal/tell/report"
	"netagauge/internal/tell/terminal"
)

// trialChecks to usualChecks are how many checks limits usually rest on
// (Montgomery, Introduction to Statistical Quality Control; from memory).
const (
	trialChecks = 20
	usualChecks = 25
)

// when writes a time as every language reads it (ISO 8601).
func when(t time.Time) string { return t.Format("2006-01-02 15:04") }

func (l Line) span() phrase.Text {
	n := len(l.Checks)
	return phrase.Named("control-span", when(l.Checks[0].At), when(l.Checks[n-1].At)).With(float64(n))
}

func (m Measure) title() phrase.Text {
	return phrase.Named("control-measure", m.Name, m.Unit).With(m.Band.Low, m.Band.High)
}

func (m Measure) centre() phrase.Text {
	p := m.Pair.Mean[len(m.Pair.Mean)-1]
	return phrase.Named("control-centre", m.Unit).With(m.Pair.Centre, p.Low, p.High, m.Pair.Sigma)
}

// signals name each signal with its rule and the spot check that completes it.
func (l Line) signals(m Measure) []phrase.Text {
	var out []phrase.Text
	of := func(key string, signals []chart.Signal) {
		for _, s := range signals {
			n := m.Checks[s.Point]
			c := l.Checks[n]
			t := phrase.Named(key, when(c.At), s.Says).With(float64(n + 1))
			if c.Who != "" {
				t = t.And(phrase.Named("control-who", report.Printable(c.Who)))
			}
			out = append(out, t.And(phrase.Named("control-rule", s.Rule)))
		}
	}
	of("control-signal-mean", m.Mean)
	of("control-signal-s", m.Spread)
	return out
}

func (m Measure) capability() phrase.Text {
	c := m.Capability
	if c == nil {
		return phrase.Of("control-no-capability")
	}
	return phrase.Of("control-capability", c.Cp.Value, c.Cp.Low, c.Cp.High, c.Cpk.Value, c.Cpk.Low, c.Cpk.High, float64(c.Count))
}

func (m Measure) sees() phrase.Text {
	if m.See.Shift == 0 {
		return nil
	}
	now := phrase.Named("control-see", m.Unit).With(m.See.Shift, 100*m.See.Now, float64(m.See.Usual))
	if m.See.Needed == 0 {
		return now.And(phrase.Of("control-see-never"))
	}
	return now.And(phrase.Of("control-see-needs", float64(m.See.Needed)))
}

func (l Line) surplus() phrase.Text {
	s := l.Surplus
	if s == nil {
		return nil
	}
	weigh, cost := "control-above", "control-costs-more"
	if s.Grams < 0 {
		weigh, cost = "control-below", "control-costs-less"
	}
	t := phrase.Of(weigh, math.Abs(s.Grams), s.GramsU, l.Plan.Standard.WeightFor(l.Plan.Group).Aim)
	if l.Plan.PricePerKg > 0 {
		t = t.And(phrase.Of(cost, math.Abs(s.Cost), l.Plan.PricePerKg))
	}
	return t.And(phrase.Of("control-scatter"))
}

// Trial warns that limits from few checks are for trial; nil where they are not.
func (l Line) Trial() phrase.Text {
	n := l.Plan.Base
	if n == 0 {
		n = len(l.Checks)
	}
	if n >= trialChecks {
		return nil
	}
	return phrase.Of("control-trial", float64(n), trialChecks, usualChecks)
}

// Text writes the state of the line as a person reads it at a terminal.
func (l Line) Text(w io.Writer) error {
	say := phrase.English().Must
	lines := []string{say(phrase.Named("control-line", report.Printable(l.Name))) + ": " + say(l.span())}
	for _, m := range l.Measures {
		lines = append(lines, "", say(m.title()))
		if m.Why != nil {
			lines = append(lines, "  "+say(phrase.Of("control-none").And(m.Why)))
			continue
		}
		said := append([]phrase.Text{m.centre(), m.capability(), m.sees()}, l.signals(m)...)
		if !m.signalled() {
			said = append(said, phrase.Of("chart-steady"))
		}
		for _, t := range said {
			if t != nil {
				lines = append(lines, "  "+say(t))
			}
		}
	}
	lines = append(lines, "")
	for _, t := range []phrase.Text{l.surplus(), l.Trial()} {
		if t != nil {
			lines = append(lines, say(t))
		}
	}
	lines = append(lines, say(phrase.Of("caution")), "")
	_, err := io.WriteString(w, terminal.Fold(strings.Join(lines, "\n")))
	return err
}

func (m Measure) signalled() bool { return len(m.Mean)+len(m.Spread) > 0 }

// Signals reports whether any chart gives a signal.
func (l Line) Signals() bool {
	for _, m := range l.Measures {
		if m.signalled() {
			return true
		}
	}
	return false
}
