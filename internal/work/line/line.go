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
	"netagauge/internal/judge/grade"
	"netagauge/internal/judge/standard"
	"netagauge/internal/keep/book"
)

// Check is one spot check.
type Check struct {
	ID, Result int64  // in the book
	Photo      string // the hash of its first photo
	Number     int    // its place among the checks that were read, from 1
	File, Who  string
	At         time.Time
	Count      piece.Count
	Slices     []piece.Piece // measured ones
	Facts      []piece.Fact  // what its result rests on
	Remarks    []book.Remark // about its signals, oldest first
}

// Known reports whether somebody has remarked on the check's signals.
func (c Check) Known() bool { return len(c.Remarks) > 0 }

// Remark is the last remark about the check's signals.
func (c Check) Remark() string {
	if !c.Known() {
		return ""
	}
	return c.Remarks[len(c.Remarks)-1].Says
}

// ControlPlan is what a line is charted for, as the trade calls it.
type ControlPlan struct {
	Standard   standard.Standard
	Group      string // of the weight bands
	Base       int    // how many first checks set the limits, 0 for all
	Nelson     bool   // Nelson's tests rather than those of Western Electric
	PricePerKg float64
	Facts      []piece.Fact // what was told of the line's slices, and what the house asks
	// Shifts of the mean that should be seen, in the measure's unit, by its
	// name; one not given is half the way from the aim to the nearer limit.
	Shifts map[string]float64
}

// Line is the state of one line.
type Line struct {
	Name     string
	Only     string // the cook or station whose checks these are; empty for all
	Checks   []Check
	Fresh    []int64 // the checks that were taken just now
	Measures []Measure
	Surplus  *chart.Surplus // nil without two weights
	Plan     ControlPlan
}

// Measure is one measure's charts. Without enough data Why says what is missing
// and the rest is empty.
type Measure struct {
	Of         *piece.Measure
	Name, Unit string
	Band       standard.Limits
	Why        phrase.Text
	Checks     []int // index of the spot check behind each point
	Slices     int
	Little     Share // beyond the lower limit of the house
	Much       Share // beyond the upper one
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

// Share is how many of the slices lie beyond a limit of the house, with the 95 %
// interval of how many will if nothing changes; slices of one check count for fewer
// where checks differ more than slices would (evidence.Effect).
type Share struct {
	Count, Of int
	Low, High float64
}

// Load reads a line's spot checks from the book.
func Load(ctx context.Context, b *book.Book, name string, which book.Span) ([]Check, error) {
	rows, err := b.SpotChecks(ctx, name, which)
	if err != nil {
		return nil, err
	}
	results, photos := make([]int64, len(rows)), make([]string, len(rows))
	for i, r := range rows {
		results[i], photos[i] = r.Result, r.Photo
	}
	reports, err := b.Reports(ctx, results)
	if err != nil {
		return nil, err
	}
	remarks, err := b.Remarks(ctx, name, photos)
	if err != nil {
		return nil, err
	}
	said, err := b.OverridesOf(ctx, photos)
	var out []Check
	for i, r := range rows {
		tray := grade.Tray{Report: reports[r.Result]}
		tray.Overrides, _ = grade.Overrides(tray.Report.Pieces, said[r.Photo]) // the photo's page tells of one that fits no piece
		out = append(out, Check{ID: r.ID, Result: r.Result, Photo: r.Photo, Number: i + 1, File: r.File, Who: r.Who, At: r.CheckedAt,
			Count: grade.Verdicts(tray), Slices: tray.Measured(), Facts: tray.Report.Facts, Remarks: remarks[r.Photo]})
	}
	return out, err
}

// By are the checks of one cook or station, which keep their numbers; of nobody
// all of them.
func By(checks []Check, who string) []Check {
	if who == "" {
		return checks
	}
	return slices.DeleteFunc(slices.Clone(checks), func(c Check) bool { return c.Who != who })
}

// Whose are the cooks and stations of checks, in the order of their first one.
func Whose(checks []Check) (out []string) {
	for _, c := range checks {
		if c.Who != "" && !slices.Contains(out, c.Who) {
			out = append(out, c.Who)
		}
	}
	return out
}

// Count sums up the slices of checks.
func Count(checks []Check) (out piece.Count) {
	for _, c := range checks {
		out = out.Plus(c.Count)
	}
	return out
}

// Of charts a line's spot checks, which come in the order of their time.
func Of(name string, checks []Check, plan ControlPlan) Line {
	l := Line{Name: name, Checks: checks, Plan: plan}
	var weights []float64
	for _, m := range standard.Banded() {
		band, _ := plan.Standard.Band(m, plan.Group)
		out := Measure{Of: m, Name: m.Key, Unit: strings.TrimSpace(m.Unit.Sign), Band: band}
		groups := out.gather(checks, m)
		out.share(checks, m)
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
