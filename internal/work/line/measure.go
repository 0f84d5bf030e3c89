package line

import (
	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/core/rank"
	"netagauge/internal/judge/chart"
	"netagauge/internal/judge/evidence"
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

// share counts the slices beyond either limit of the house, check by check.
func (m *Measure) share(checks []Check, of *piece.Measure) {
	var little, much []evidence.Part
	for _, c := range checks {
		values := of.Values(c.Slices)
		few, many := evidence.Part{Of: len(values)}, evidence.Part{Of: len(values)}
		for _, v := range values {
			if v < m.Band.Low {
				few.N++
			}
			if v > m.Band.High {
				many.N++
			}
		}
		if len(values) > 0 {
			little, much = append(little, few), append(much, many)
		}
	}
	m.Little, m.Much = shareOf(little), shareOf(much)
}

func shareOf(checks []evidence.Part) Share {
	all := evidence.Sum(checks)
	by := all.Exact(evidence.EffectOf(checks))
	return Share{Count: all.N, Of: all.Of, Low: by.Low, High: by.High}
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
	m.See = See{Shift: shift, Usual: rank.Median(sizes)}
	m.See.Now = chart.SeeShift(m.See.Usual, shift/m.Pair.Sigma)
	m.See.Needed, _ = chart.SizeToSee(shift/m.Pair.Sigma, seenChance)
}
