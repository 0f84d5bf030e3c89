// Package line watches a line over time by spot checks: each photo of n slices
// is a subgroup of the X-bar and s charts of length, width and weight, with run
// rules, capability, what overweight costs and how many slices show a shift.
// Lengths are in mm, weights in g. It names cooks and stations only as they were
// entered, measures nothing, and does not say who is to blame for a signal.
package line

import (
	"context"
	"slices"
	"strings"
	"time"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/judge/chart"
	"netagauge/internal/judge/standard"
	"netagauge/internal/keep/book"
)

// Check is one spot check.
type Check struct {
	ID        int64 // in the book
	File, Who string
	At        time.Time
	Slices    []piece.Piece // measured ones
}

// ControlPlan is what a line is charted for, as the trade calls it.
type ControlPlan struct {
	Standard   standard.Standard
	Group      string // of the weight bands
	Base       int    // how many first checks set the limits, 0 for all
	Nelson     bool   // Nelson's tests rather than those of Western Electric
	PricePerKg float64
	// Shifts of the mean that should be seen, in the measure's unit, by its
	// name; one not given is half the way from the aim to the nearer limit.
	Shifts map[string]float64
}

// Line is the state of one line.
type Line struct {
	Name     string
	Checks   []Check
	Measures []Measure
	Surplus  *chart.Surplus // nil without two weights
	Plan     ControlPlan
}

// Measure is one measure's charts. Without enough data Why says what is missing
// and the rest is empty.
type Measure struct {
	Name, Unit string
	Band       standard.Limits
	Why        phrase.Text
	Checks     []int // index of the spot check behind each point
	Slices     int
	Pair       chart.Pair
	Mean       []chart.Signal // run rules on the means
	Spread     []chart.Signal // beyond the limits of s
	Capability *chart.Capability
	See        See
}

// See says how a shift of the mean shows.
type See struct {
	Shift  float64 // in the measure's unit
	Now    float64 // chance that one check of the usual size shows it
	Usual  int     // slices in the usual check: the median
	Needed int     // slices that show it at once nine times in ten, 0 for more than any tray
}

// Load reads a line's spot checks from the book.
func Load(ctx context.Context, b *book.Book, name string, which book.Span) ([]Check, error) {
	rows, err := b.SpotChecks(ctx, name, which)
	if err != nil {
		return nil, err
	}
	results := make([]int64, len(rows))
	for i, r := range rows {
		results[i] = r.Result
	}
	reports, err := b.Reports(ctx, results)
	var out []Check
	for _, r := range rows {
		out = append(out, Check{ID: r.ID, File: r.File, Who: r.Who, At: r.CheckedAt, Slices: reports[r.Result].MeasuredPieces()})
	}
	return out, err
}

// Of charts a line's spot checks, which come in the order of their time.
func Of(name string, checks []Check, plan ControlPlan) Line {
	l := Line{Name: name, Checks: checks, Plan: plan}
	var weights []float64
	for _, m := range standard.Banded() {
		band, _ := plan.Standard.Band(m, plan.Group)
		out := Measure{Name: m.Key, Unit: strings.TrimSpace(m.Unit.Sign), Band: band}
		groups := out.gather(checks, m)
		if m == piece.Weight {
			weights = slices.Concat(groups...)
		}
		out.fill(groups, plan)
		l.Measures = append(l.Measures, out)
	}
	if s, err := chart.SurplusPer100(weights, plan.Standard.WeightFor(plan.Group).Aim, plan.PricePerKg); err == nil {
		l.Surplus = &s
	}
	return l
}
