package line

import (
	"fmt"
	"io"
	"math"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/uncertainty"
	"netagauge/internal/judge/chart"
	"netagauge/internal/tell/report"
)

// trialChecks is how many checks limits usually rest on: 20 to 25 (Montgomery,
// Introduction to Statistical Quality Control; from memory).
const trialChecks = 20

func (m Measure) centreText() string {
	p := m.Pair.Mean[len(m.Pair.Mean)-1]
	return fmt.Sprintf("mean %s %s, limits %s to %s for a check of the last one's size; standard deviation within a check %s %s",
		uncertainty.Decimal(m.Pair.Centre, 1), m.Unit, uncertainty.Decimal(p.Low, 1), uncertainty.Decimal(p.High, 1), uncertainty.Decimal(m.Pair.Sigma, 2), m.Unit)
}

// signalTexts name each signal with its rule and the spot check that completes
// it.
func (l Line) signalTexts(m Measure) []string {
	var out []string
	for _, x := range []struct {
		what    string
		signals []chart.Signal
	}{{"mean", m.Mean}, {"s", m.Spread}} {
		for _, s := range x.signals {
			c := l.Checks[m.Checks[s.Point]]
			t := fmt.Sprintf("check %d, %s: %s of %s: %s", m.Checks[s.Point]+1, c.At.Format("2 Jan 15:04"), x.what, m.Name, phrase.English().Word(s.Says))
			if c.Who != "" {
				t += ", " + report.Printable(c.Who)
			}
			out = append(out, t+" ("+s.Rule+")")
		}
	}
	return out
}

func ratioText(r chart.Ratio) string {
	return fmt.Sprintf("%s (%s to %s)", uncertainty.Decimal(r.Value, 2), uncertainty.Decimal(r.Low, 2), uncertainty.Decimal(r.High, 2))
}

func (m Measure) capabilityText() string {
	if m.Capability == nil {
		return "no capability: the slices do not differ"
	}
	return fmt.Sprintf("Cp %s, Cpk %s; 95 %% intervals, from %d slices", ratioText(m.Capability.Cp), ratioText(m.Capability.Cpk), m.Capability.Count)
}

func (m Measure) seeText() string {
	if m.See.Shift == 0 {
		return ""
	}
	now := fmt.Sprintf("a mean %s %s off shows at the next check with a chance of %s %% (%d slices)",
		uncertainty.Decimal(m.See.Shift, 1), m.Unit, uncertainty.Decimal(100*m.See.Now, 0), m.See.Usual)
	if m.See.Needed == 0 {
		return now + "; no photo holds enough slices to show it nine times in ten"
	}
	return now + fmt.Sprintf("; photograph %d to see it nine times in ten", m.See.Needed)
}

func (l Line) surplusText() string {
	if l.Surplus == nil {
		return ""
	}
	word, money := "above", "more"
	if l.Surplus.Grams < 0 {
		word, money = "below", "less"
	}
	s := fmt.Sprintf("100 slices weigh %s g %s the aim of %g g each", uncertainty.PlusMinus(math.Abs(l.Surplus.Grams), l.Surplus.GramsU, 0), word, l.Plan.Standard.WeightFor(l.Plan.Group).Aim)
	if l.Plan.PricePerKg > 0 {
		s += fmt.Sprintf(", which is %s %s in fish at %g a kg", uncertainty.Decimal(math.Abs(l.Surplus.Cost), 2), money, l.Plan.PricePerKg)
	}
	return s + ". The ± is the scatter of the slices only; an error in the thickness moves all weights alike"
}

// trialText warns that limits from few checks are for trial.
func (l Line) trialText() string {
	n := l.Plan.Base
	if n == 0 {
		n = len(l.Checks)
	}
	if n >= trialChecks {
		return ""
	}
	return fmt.Sprintf("limits from %d checks are trial limits: %d to 25 are usual", n, trialChecks)
}

// Text writes the state of the line as a person reads it at a terminal.
func (l Line) Text(w io.Writer) error {
	lines := []string{fmt.Sprintf("line %s: %d spot checks, %s to %s", report.Printable(l.Name), len(l.Checks),
		l.Checks[0].At.Format("2 January 2006 15:04"), l.Checks[len(l.Checks)-1].At.Format("2 January 2006 15:04"))}
	for _, m := range l.Measures {
		if m.Why != "" {
			lines = append(lines, "", m.Name+": no chart: "+m.Why)
			continue
		}
		lines = append(lines, "", fmt.Sprintf("%s, %g to %g %s: %s", m.Name, m.Band.Low, m.Band.High, m.Unit, m.centreText()),
			"  "+m.capabilityText(), "  "+m.seeText())
		signals := l.signalTexts(m)
		if len(signals) == 0 {
			signals = []string{"no signal"}
		}
		for _, s := range signals {
			lines = append(lines, "  "+s)
		}
	}
	lines = append(lines, "")
	for _, s := range []string{l.surplusText(), l.trialText(), report.Caution()} {
		if s != "" {
			lines = append(lines, s)
		}
	}
	for _, s := range lines {
		if _, err := fmt.Fprintln(w, s); err != nil {
			return err
		}
	}
	return nil
}

// Signals reports whether any chart gives a signal.
func (l Line) Signals() bool {
	for _, m := range l.Measures {
		if len(m.Mean)+len(m.Spread) > 0 {
			return true
		}
	}
	return false
}
