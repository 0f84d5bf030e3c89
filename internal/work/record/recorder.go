package record

import (
	"context"

	"netagauge/internal/core/piece"
	"netagauge/internal/keep/book"
	"netagauge/internal/keep/intake"
)

// Recorder brings trays into a record book.
type Recorder struct {
	Book    *book.Book
	Program string // version, whose results are kept apart from another's
	Measure Measure
	// Insist, if it is there, does what is given to it until it goes well: so
	// that what was measured is not lost to a disk that is full for a while.
	Insist func(context.Context, func() error) error
}

// Kept is a result in the book.
type Kept struct {
	ID     int64
	Report piece.Tray
	Before bool // it was there already
}

// Outcome is the result as a data folder takes it.
func (k Kept) Outcome() intake.Outcome {
	out := intake.Outcome{Result: k.ID, Refused: k.Report.Status == piece.TrayRefused}
	if out.Refused && len(k.Report.Problems) > 0 {
		out.Code = k.Report.Problems[0].Code
	}
	return out
}

// NotMeasuredError says why a tray could not be measured. Other errors are the
// book's: what cannot be kept need not be measured.
type NotMeasuredError struct{ Cause error }

func (e NotMeasuredError) Error() string { return e.Cause.Error() }
func (e NotMeasuredError) Unwrap() error { return e.Cause }

// Record finds the tray's result in the book, or measures the tray and keeps what
// comes of it, refused or not. Once a tray is measured its result is kept, even
// when ctx is done meanwhile.
func (r Recorder) Record(ctx context.Context, t Tray) (Kept, error) {
	hash, err := r.Book.Ticket(ctx, t.Ticket)
	if err != nil {
		return Kept{}, err
	}
	k := book.Key{Photo: t.Photos(), Ticket: hash, Program: r.Program}
	id, found, err := r.Book.Find(ctx, k)
	if err != nil {
		return Kept{}, err
	}
	if found {
		was, err := r.Book.Report(ctx, id)
		return Kept{id, was, true}, err
	}
	res, err := r.Measure(ctx, t)
	if err != nil {
		return Kept{}, NotMeasuredError{err}
	}
	keep := func() (err error) {
		id, err = r.Book.Keep(context.WithoutCancel(ctx), k, res.Report, book.Pictures{Annotated: res.Picture, View: res.View})
		return err
	}
	if r.Insist != nil {
		err = r.Insist(ctx, keep)
	} else {
		err = keep()
	}
	return Kept{ID: id, Report: res.Report}, err
}
