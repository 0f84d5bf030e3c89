package book

import (
	"context"
	"time"

	"gonum.org/v1/gonum/stat"

	"netagauge/internal/core/piece"
	"netagauge/internal/judge/grade"
	"netagauge/internal/judge/standard"
)

// SumUp sums up a result that counts in a class or on a line, as its board or charts
// would, and keeps that. t says which it is, where it counts and when.
func (b *Book) SumUp(ctx context.Context, t Tally) error {
	tray, err := b.Report(ctx, t.Result)
	if err != nil {
		return err
	}
	told, err := b.TicketOfResult(ctx, t.Result)
	if err != nil {
		return err
	}
	said, err := b.Overrides(ctx, t.Photo)
	if err != nil {
		return err
	}
	decided, _ := grade.Overrides(tray.Pieces, said) // one whose piece is gone is told on the board
	n := grade.Verdicts(grade.Tray{Report: tray, Overrides: decided})
	t.Good, t.Slices, t.Missing = n.Good, n.Measured(), n.NotMeasured
	m, err := told.Matter()
	if err != nil {
		return err
	}
	for measure, to := range map[*piece.Measure]*Spread{piece.Length: &t.Length, piece.Width: &t.Width, piece.Weight: &t.Weight} {
		*to = spread(measure.Values(tray.MeasuredPieces()))
		to.Aim = aim(told.Standard, measure, m.Group)
	}
	return b.KeepTally(ctx, t)
}

func aim(house standard.Standard, m *piece.Measure, group string) float64 {
	band, _ := house.Band(m, group)
	return band.Aim
}

func spread(v []float64) Spread {
	switch len(v) {
	case 0:
		return Spread{}
	case 1:
		return Spread{N: 1, Mean: v[0]}
	}
	mean, sd := stat.MeanStdDev(v, nil)
	return Spread{N: len(v), Mean: mean, SD: sd}
}

// SumUpAnew sums a photo up anew, after something was decided about its slices.
func (b *Book) SumUpAnew(ctx context.Context, photo string) error {
	there, err := b.TalliesOf(ctx, photo)
	if err != nil {
		return err
	}
	for _, t := range there {
		if err := b.SumUp(ctx, t); err != nil {
			return err
		}
	}
	return nil
}

// SumUpLine sums up the last checks of a line that are not yet, as after an update.
func (b *Book) SumUpLine(ctx context.Context, line string, last int) error {
	checks, err := b.Untallied(ctx, line, last)
	if err != nil {
		return err
	}
	for _, c := range checks {
		if err := b.SumUp(ctx, c.Tally()); err != nil {
			return err
		}
	}
	return nil
}

// Tally is where a spot check counts.
func (c SpotCheck) Tally() Tally {
	return Tally{Kind: "line", Name: c.Line, Photo: c.Photo, Result: c.Result, Day: c.CheckedAt.Local().Format(time.DateOnly), At: c.CheckedAt}
}
