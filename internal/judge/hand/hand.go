// Package hand tells how a hand cuts over a run of slices and over the minutes: what
// drifts from the first slice of a block to the last, what the minutes do to size and
// evenness, how fast it goes, and what changed from one class to the next. Each number
// is an effect in the measure's own unit with its 95 % interval (package evidence);
// what so few slices cannot tell is left out. It measures nothing and knows no name.
// Times are minutes, pace is slices a minute.
package hand

import (
	"time"

	"gonum.org/v1/gonum/stat"

	"netagauge/internal/core/piece"
	"netagauge/internal/judge/evidence"
)

// Drift is how one measure changes, in its unit for each step: a slice, or a minute.
type Drift struct {
	Measure *piece.Measure
	Step    evidence.Interval
	N       int     // values behind it
	Steps   float64 // from the first to the last
}

// Whole is the change from the first to the last.
func (d Drift) Whole() evidence.Interval {
	return evidence.Interval{Value: d.Step.Value * d.Steps, Low: d.Step.Low * d.Steps, High: d.Step.High * d.Steps}
}

// Along is what drifts along a block, from its slices in the order in which they were
// cut. A slice without numbers keeps its place. What is one number for all, such as a
// thickness told for the whole tray, has no drift.
func Along(cut []piece.Piece) []Drift {
	var out []Drift
	for _, m := range piece.OfHand() {
		var x, y []float64
		for i := range cut {
			if v := m.Of(&cut[i]); v.Counts() && cut[i].State == piece.Measured {
				x, y = append(x, float64(i)), append(y, v.X)
			}
		}
		out = add(out, m, x, y)
	}
	return out
}

func add(out []Drift, m *piece.Measure, x, y []float64) []Drift {
	step, known := evidence.Drift(x, y)
	if !known || stat.Variance(y, nil) == 0 {
		return out
	}
	return append(out, Drift{m, step, len(x), x[len(x)-1] - x[0]})
}

// Tray is what was cut for one photo, and when that came.
type Tray struct {
	At     time.Time
	Slices int           // that lie there, with or without numbers
	Good   evidence.Part // of those with a verdict
	Of     map[*piece.Measure]evidence.Spread
}

// Tired is what the minutes do: Means to the mean of a tray, Spreads to the standard
// deviation within it, for each minute. A tray counts as one, since its slices are
// alike; it takes four trays, of three slices or more each.
func Tired(trays []Tray) (means, spreads []Drift) {
	const least = 3
	for _, m := range piece.OfHand() {
		var x, mean, sd []float64
		for _, t := range trays {
			if s := t.Of[m]; s.N >= least {
				x, mean, sd = append(x, t.At.Sub(trays[0].At).Minutes()), append(mean, s.Mean), append(sd, s.SD)
			}
		}
		means, spreads = add(means, m, x, mean), add(spreads, m, x, sd)
	}
	return means, spreads
}

// Pace is how many slices a minute were cut between the first photo and the last: those
// on the first tray were cut before it. False where there are fewer than two trays, or
// they came at the same moment.
func Pace(trays []Tray) (slicesAMinute float64, known bool) {
	if len(trays) < 2 {
		return 0, false
	}
	minutes := trays[len(trays)-1].At.Sub(trays[0].At).Minutes()
	n := 0
	for _, t := range trays[1:] {
		n += t.Slices
	}
	return float64(n) / minutes, minutes > 0
}

// Change is by how much the mean of a measure changed, in its unit.
type Change struct {
	Measure       *piece.Measure
	By            evidence.Interval
	Before, After evidence.Spread
}

// Lesson is what changed from before it to after it.
type Lesson struct {
	Good          evidence.Interval // share of good slices, 0 to 1
	GoodKnown     bool
	Before, After evidence.Part
	Changes       []Change
}

// Since compares the trays of a hand before and after a lesson. Only measured slices
// with a verdict count in the share of good ones, those of one tray as much alike as
// all these trays show; means take slices as cut one by one.
func Since(before, after []Tray) Lesson {
	was, now := parts(before), parts(after)
	out := Lesson{Before: evidence.Sum(was), After: evidence.Sum(now)}
	out.Good, out.GoodKnown = evidence.Shares(out.Before, out.After, evidence.EffectOf(was, now))
	for _, m := range piece.OfHand() {
		was, now := pooled(before, m), pooled(after, m)
		if by, known := evidence.Means(was, now); known {
			out.Changes = append(out.Changes, Change{m, by, was, now})
		}
	}
	return out
}

func parts(trays []Tray) (out []evidence.Part) {
	for _, t := range trays {
		if t.Good.Of > 0 {
			out = append(out, t.Good)
		}
	}
	return out
}

func pooled(trays []Tray, m *piece.Measure) evidence.Spread {
	parts := make([]evidence.Spread, len(trays))
	for i, t := range trays {
		parts[i] = t.Of[m]
	}
	return evidence.Pooled(parts)
}
