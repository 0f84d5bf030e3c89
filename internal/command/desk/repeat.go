package desk

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"

	"netagauge/internal/command"
	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/core/uncertainty"
	"netagauge/internal/judge/repeat"
	"netagauge/internal/judge/standard"
	"netagauge/internal/judge/ticket"
	"netagauge/internal/keep/book"
	"netagauge/internal/tell/terminal"
	"netagauge/internal/work/inspect"
	"netagauge/internal/work/record"
)

const repeatHelp = `Tell how well photos of one tray agree: take two or more photos of the same
tray, each from another place, and touch nothing between them.

  netagauge repeat first.jpg again.jpg third.jpg

The spread of each measure is the repeatability standard deviation of ISO
5725-2; the record book keeps it. It says how far the phone, the mat and the
program repeat themselves, not whether they are right: lay a bank card on the
mat for that.

Exit codes: 0 told, 2 wrong usage or not one tray, 3 a photo was refused or
unreadable.
`

// Repeat says how well photos of one untouched tray agree.
func Repeat(ctx context.Context, args []string, to *command.Caller) (int, error) {
	var o command.BatchOptions
	var colour command.ColourFlag
	f := command.NewFlags("repeat", repeatHelp, to)
	o.Register(f)
	colour.Register(f)
	if err := to.Parse(f, args); err != nil {
		return command.ExitUsage, err
	}
	if f.NArg() < 2 {
		return command.ExitUsage, command.MisuseOf(phrase.Wrong("repeat-two"))
	}
	if err := cmp.Or(command.OnDisk(f.Args()...), command.Distinct(f.Args())); err != nil {
		return command.ExitUsage, err
	}
	t, err := o.Fill()
	if err != nil {
		return command.ExitUsage, err
	}
	trays, err := measured(ctx, f.Args(), t)
	if err != nil {
		return command.ExitRefused, err
	}
	for _, tray := range trays {
		if tray.Status != piece.TrayMeasured {
			return command.ExitRefused, to.Words().TextPhoto(to.Out, colour.On(to.Out), tray)
		}
	}
	a, err := repeat.Of(trays)
	if err != nil {
		return command.ExitUsage, command.MisuseOf(err)
	}
	if err := keepRepeat(ctx, &o, trays[0], a); err != nil {
		return command.ExitRefused, err
	}
	return command.ExitPass, showRepeat(a, t.Standard, to)
}

// measured checks the photos one after another, each by itself.
func measured(ctx context.Context, paths []string, t ticket.Ticket) ([]piece.Tray, error) {
	m, end := command.Measurer(1)
	defer end()
	var out []piece.Tray
	for _, path := range paths {
		read, err := command.ReadPhoto(path)
		if err != nil {
			return append(out, inspect.Unreadable(read.Name, t, err).Report), nil
		}
		res, err := m.Measure(ctx, record.Tray{First: read, Ticket: t})
		var entered record.EnteredError
		if errors.As(err, &entered) {
			return nil, command.MisuseOf(phrase.At(read.Name, err))
		}
		if err != nil {
			return nil, err
		}
		out = append(out, res.Report)
	}
	return out, nil
}

// keepRepeat puts what was found into the record book.
func keepRepeat(ctx context.Context, o *command.BatchOptions, first piece.Tray, a repeat.Agreement) error {
	b, err := o.OpenBook(ctx)
	if err != nil {
		return err
	}
	defer b.Close()
	kept := book.Repeat{Photos: a.Photos, Slices: a.Slices, Mat: first.Mat.Name, SD: map[string]float64{}}
	for _, s := range a.Spreads {
		kept.SD[s.Measure.Column()] = s.SD
	}
	return b.AddRepeat(ctx, kept)
}

// showRepeat prints a row a measure and a sentence that needs no statistics.
func showRepeat(a repeat.Agreement, s standard.Standard, c *command.Caller) error {
	t := terminal.Table{Head: []string{"", c.Word("repeat-head-sd"), c.Word("repeat-head-limit"), c.Word("repeat-head-most")}}
	limits := map[*piece.Measure]float64{}
	for _, row := range a.Spreads {
		m := row.Measure
		limits[m] = row.Limit
		in := func(v float64) string { return uncertainty.Decimal(v*m.Unit.Scale, m.Digits+1) + m.Unit.Sign }
		t.Rows = append(t.Rows, []string{c.Word("measure-" + m.Key), in(row.SD), in(row.Limit), in(row.Greatest)})
	}
	says := phrase.Of("repeat-says", limits[piece.Length], limits[piece.Width], (s.Length.High-s.Length.Low)/2, (s.Width.High-s.Width.Low)/2)
	told := fmt.Sprintf("%s\n\n%v\n%s\n", c.Word("repeat-count", a.Slices, a.Photos), t, c.Must(says))
	_, err := io.WriteString(c.Out, terminal.Fold(told))
	return err
}
