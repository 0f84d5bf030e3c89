package book

import (
	"context"
	"database/sql"
	"slices"
	"time"

	"netagauge/internal/core/piece"
	"netagauge/internal/judge/evidence"
	"netagauge/internal/judge/grade"
	"netagauge/internal/judge/ticket"
	"netagauge/internal/keep/database"
)

// SumUp sums up results that count in a class or on a line, each of another photo, as its
// board or charts would, and keeps that. They say which it is, where it counts and when.
func (b *Book) SumUp(ctx context.Context, all ...Tally) error {
	for some := range slices.Chunk(all, atOnce) {
		if err := b.reckon(ctx, some); err != nil {
			return err
		}
		if err := b.KeepTally(ctx, some...); err != nil {
			return err
		}
	}
	return nil
}

// atOnce bounds how many reports are in memory.
const atOnce = 100

// reckon puts into each what its result comes to.
func (b *Book) reckon(ctx context.Context, all []Tally) error {
	if len(all) == 0 {
		return nil
	}
	results, photos := make([]int64, len(all)), make([]string, len(all))
	for i, t := range all {
		results[i], photos[i] = t.Result, Hashes(t.Photo)[0]
	}
	trays, err := b.Reports(ctx, results)
	if err != nil {
		return err
	}
	told, err := b.ticketsOf(ctx, results)
	if err != nil {
		return err
	}
	said, err := b.OverridesOf(ctx, photos)
	if err != nil {
		return err
	}
	for i := range all {
		tray, there := trays[all[i].Result]
		if !there {
			return b.fail("read a photo's report", sql.ErrNoRows)
		}
		if err := all[i].sum(tray, told[all[i].Result], said[photos[i]]); err != nil {
			return err
		}
	}
	return nil
}

// ticketsOf are the tickets of results, by result.
func (b *Book) ticketsOf(ctx context.Context, results []int64) (map[int64]ticket.Ticket, error) {
	hashes, err := database.Pairs[int64, string](b.db.QueryContext(ctx, `SELECT id, ticket_hash FROM result WHERE `+b.db.Among("id", "$1"), database.List(b.db, results)))
	if err != nil {
		return nil, b.fail("read the photos", err)
	}
	once, out := map[string]ticket.Ticket{}, map[int64]ticket.Ticket{}
	for id, hash := range hashes {
		if _, there := once[hash]; !there {
			if once[hash], err = b.TicketBy(ctx, hash); err != nil {
				return nil, err
			}
		}
		out[id] = once[hash]
	}
	return out, nil
}

// sum sums up a tray by what was told of it and said about its slices.
func (t *Tally) sum(tray piece.Tray, told ticket.Ticket, said []piece.Override) error {
	decided, _ := grade.Overrides(tray.Pieces, said) // one whose piece is gone is told on the board
	whole := grade.Tray{Report: tray, Overrides: decided}
	n := grade.Verdicts(whole)
	t.Good, t.Slices, t.Missing, t.Of = n.Good, n.Measured(), n.NotMeasured, map[*piece.Measure]Spread{}
	m, err := told.Matter()
	if err != nil {
		return err
	}
	pieces := whole.Measured()
	for _, measure := range Tallied {
		band, _ := told.Standard.Band(measure, m.Group)
		t.Of[measure] = Spread{evidence.SpreadOf(measure.Values(pieces)), band.Aim}
	}
	return nil
}

// SumUpAnew sums a photo up anew, after something was decided about its slices.
func (b *Book) SumUpAnew(ctx context.Context, photo string) error {
	there, err := b.TalliesOf(ctx, photo)
	if err != nil {
		return err
	}
	return b.SumUp(ctx, there...)
}

// SumUpLine sums up the last checks of a line that are not yet, as after an update.
func (b *Book) SumUpLine(ctx context.Context, line string, last int) error {
	checks, err := b.Untallied(ctx, line, last)
	if err != nil {
		return err
	}
	all := make([]Tally, len(checks))
	for i, c := range checks {
		all[i] = c.Tally()
	}
	return b.SumUp(ctx, all...)
}

// Tally is where a spot check counts.
func (c SpotCheck) Tally() Tally {
	return Tally{Kind: "line", Name: c.Line, Photo: c.Photo, Result: c.Result, Day: c.CheckedAt.Local().Format(time.DateOnly), At: c.CheckedAt}
}
