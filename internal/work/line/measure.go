package line

import (
	"slices"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/core/uncertainty"
	"netagauge/internal/judge/chart"
)

// seenChance is how surely a shift should show at the next check. Our setting.
const seenChance = 0.9

// gather collects the values of each check that has two or more; a standard
// deviation needs as many.
func (m *Measure) gather(checks []Check, of *piece.Measure) [][]float64 {
	var groups [][]float64
	for i, c := range checks {
		g := of.Values(c.Slices)
		if len(g) >= 2 && len(g) <= chart.MaxSubgroup {
			groups, m.Checks = append(groups, g), append(m.Checks, i)
			m.Slices += len(g)
		}
	}
	return groups
}

// share counts the slices beyond either limit of the house, in every check.
func (m *Measure) share(checks []Check, of *piece.Measure) {
	var few, many, n int
	for _, c := range checks {
		for _, v := range of.Values(c.Slices) {
			n++
			if v < m.Band.Low {
				few++
			}
			if v > m.Band.High {
				many++
			}
		}
	}
	m.Little, m.Much = shareOf(few, n), shareOf(many, n)
}

func shareOf(k, n int) Share {
	s := Share{Count: k, Of: n, High: 1}
	if n > 0 {
		s.Low, s.High = uncertainty.Proportion(k, n)
	}
	return s
}

// fill draws the conclusions from the groups, or says what is missing.
func (m *Measure) fill(groups [][]float64, plan ControlPlan) {
	if m.Slices == 0 && m.Name == "weight" {
		m.Why = phrase.Of("control-no-weight")
		return
	}
	base := plan.Base
	if base > len(groups) {
		m.Why = phrase.Of("control-base", float64(len(groups)), float64(base))
		return
	}
	pair, err := chart.XBarS(groups, base)
	if err != nil {
		m.Why = phrase.Of("control-few", float64(len(groups)))
		return
	}
	if base == 0 {
		base = len(groups)
	}
	rules := chart.WesternElectric
	if plan.Nelson {
		rules = chart.Nelson
	}
	m.Pair = pair
	m.Mean, m.Spread = chart.Signals(pair.Mean, rules), chart.Signals(pair.Spread, chart.BeyondLimits)
	if c, err := chart.CapabilityOf(groups[:base], pair.Sigma, m.Band.Low, m.Band.High); err == nil {
		m.Capability = &c
	}
	m.see(groups, plan.Shifts[m.Name])
}

// see reckons how a shift shows; one of 0 becomes half the way from the aim to
// the nearer limit.
func (m *Measure) see(groups [][]float64, shift float64) {
	if shift == 0 {
		shift = min(m.Band.Aim-m.Band.Low, m.Band.High-m.Band.Aim) / 2
	}
	if m.Pair.Sigma <= 0 || shift <= 0 {
		return
	}
	sizes := make([]int, len(groups))
	for i, g := range groups {
		sizes[i] = len(g)
	}
	slices.Sort(sizes)
	m.See = See{Shift: shift, Usual: sizes[len(sizes)/2]}
	m.See.Now = chart.SeeShift(m.See.Usual, shift/m.Pair.Sigma)
	m.See.Needed, _ = chart.SizeToSee(shift/m.Pair.Sigma, seenChance)
}
