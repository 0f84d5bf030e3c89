package line

import (
	"math"
	"slices"
	"time"

	"netagauge/internal/core/phrase"
	"netagauge/internal/tell/report"
)

// trialChecks to usualChecks are how many checks limits usually rest on
// (Montgomery, Introduction to Statistical Quality Control; from memory).
const (
	trialChecks = 20
	usualChecks = 25
)

// when writes a time by the kitchen's clock, as every language reads it (ISO 8601).
func when(t time.Time) string { return t.Local().Format("2006-01-02 15:04") }

// title names the line, and whose checks these are.
func (l Line) title() phrase.Text {
	if l.Only == "" {
		return phrase.Named("control-line", report.Printable(l.Name))
	}
	return phrase.Named("control-line-only", report.Printable(l.Name), report.Printable(l.Only))
}

// whose tells the cooks and stations apart, where there are several.
func (l Line) whose() (out []phrase.Text) {
	whose := Whose(l.Checks)
	if len(whose) < 2 {
		return nil
	}
	for _, who := range whose {
		checks := By(l.Checks, who)
		out = append(out, phrase.Named("control-of", report.Printable(who)).With(float64(len(checks))).And(Count(checks).Says()))
	}
	return out
}

// about names one check.
func (l Line) about(c Check) phrase.Text {
	t := phrase.Named("control-check", report.Printable(l.Name), when(c.At)).With(float64(c.Number))
	if c.Who != "" {
		t = t.And(phrase.Named("control-who", report.Printable(c.Who)))
	}
	return t
}

// charted is how many measures have a chart.
func (l Line) charted() (n int) {
	for _, m := range l.Measures {
		if m.Why == nil {
			n++
		}
	}
	return n
}

func (l Line) fresh(id int64) bool { return slices.Contains(l.Fresh, id) }

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

// signals name each signal with its rule, the spot check that completes it and what
// was remarked about it.
func (l Line) signals(m Measure) []phrase.Text {
	var out []phrase.Text
	for _, s := range l.SignalsOf(m) {
		out = append(out, s.says())
	}
	return out
}

// says names the signal: the check, the pattern, the rule by its published name, and
// the last remark.
func (s Signal) says() phrase.Text {
	key := "control-signal-mean"
	if s.Spread {
		key = "control-signal-s"
	}
	c := s.Check
	t := phrase.Named(key, when(c.At), s.Says).With(float64(c.Number))
	if c.Who != "" {
		t = t.And(phrase.Named("control-who", report.Printable(c.Who)))
	}
	t = t.And(phrase.Named("control-rule", s.Rule))
	if c.Known() {
		t = t.And(phrase.Named("control-known", report.Printable(c.Remark())))
	}
	return t
}

// short is the signal where its check is named already.
func (s Signal) short() phrase.Text {
	if s.Spread {
		return phrase.Named("control-short-s", s.Says, s.Rule)
	}
	return phrase.Named("control-short-mean", s.Says, s.Rule)
}

// Shares say for a cook how many slices lie beyond the limits of the house, and how
// many will.
func (m Measure) Shares() []phrase.Text {
	if m.Little.Of == 0 {
		return nil
	}
	if m.Little.Count+m.Much.Count == 0 {
		none := m.Little // none beyond either limit
		return []phrase.Text{phrase.Named("share-none", "is-"+m.Of.Little, "is-"+m.Of.Much).With(float64(none.Of), 100*none.High)}
	}
	var out []phrase.Text
	for _, side := range []struct {
		Share
		key string
	}{{m.Little, m.Of.Little}, {m.Much, m.Of.Much}} {
		if side.Count > 0 {
			out = append(out, side.says("is-"+side.key))
		}
	}
	return out
}

// says is a share as people say it: one in so many, or so many in ten.
func (s Share) says(key string) phrase.Text {
	if s.High-s.Low > tellsNothing {
		return phrase.Named("share-few", key).With(float64(s.Count), float64(s.Of))
	}
	share := float64(s.Count) / float64(s.Of)
	words, parts := "share-one-in", math.Round(1/share)
	switch {
	case s.Count == s.Of:
		words, parts = "share-all", 10
	case share > mostOneIn:
		words, parts = "share-in-ten", math.Round(10*share)
	}
	return phrase.Named(words, key).With(parts, float64(s.Count), float64(s.Of), 100*s.Low, 100*s.High)
}

// mostOneIn is the largest share that is said as one in so many: one in three.
const mostOneIn = 0.35

// tellsNothing is how wide the interval of a share may be before it is not shown:
// "0 to 100 in 100" is no news.
const tellsNothing = 0.95

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
