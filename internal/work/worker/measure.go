package worker

import (
	"context"
	"errors"
	"fmt"
	"io"

	"netagauge/internal/core/phrase"
	"netagauge/internal/judge/ticket"
	"netagauge/internal/tell/report"
	"netagauge/internal/work/inspect"
	"netagauge/internal/work/record"
)

// Inspect measures a tray in this process and gives all that the check saw, with the
// picture left to draw.
func Inspect(ctx context.Context, t record.Tray) (inspect.Result, error) {
	photos, err := read(t)
	if err != nil {
		return inspect.Result{}, err
	}
	return inspect.Tray(ctx, photos, t.Ticket)
}

func read(t record.Tray) (inspect.Photos, error) {
	first, err := t.First.Read()
	if err != nil {
		return inspect.Photos{}, err
	}
	second, err := t.Second.Read()
	return inspect.Photos{First: inspect.Photo{Name: t.First.Name, Data: first}, Second: inspect.Photo{Name: t.Second.Name, Data: second}}, err
}

// measure turns a panic over a tray into the program's mistake; what cannot be
// caught ends the process.
func measure(ctx context.Context, photos inspect.Photos, t ticket.Ticket, language string) (res record.Result, err error) {
	defer func() {
		if p := recover(); p != nil {
			res, err = record.Result{}, record.MistakeError{What: fmt.Sprint(p)}
		}
	}()
	seen, err := inspect.Tray(ctx, photos, t)
	var entered inspect.InputError
	switch {
	case errors.As(err, &entered):
		return res, record.EnteredError{Cause: err}
	case ctx.Err() != nil:
		return res, ctx.Err()
	case err != nil:
		return res, record.MistakeError{What: err.Error()}
	}
	res.Report = seen.Report
	if err := report.JSON(io.Discard, seen.Report); err != nil { // the book could not keep it
		return res, record.MistakeError{What: err.Error()}
	}
	if res.Picture, err = seen.Picture(phrase.InTag(language), t.Standard.Rice, smallPicture); err != nil {
		return res, record.MistakeError{What: err.Error()}
	}
	if res.View, err = seen.View(); err != nil {
		return res, record.MistakeError{What: err.Error()}
	}
	return res, nil
}

// smallPicture is the longest side in px of a picture kept in the book: enough
// for a printed page, and 500 of them stay within 100 MB or so.
const smallPicture = 1200
