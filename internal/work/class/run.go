package class

import (
	"context"
	"errors"
	"maps"
	"sync"

	"golang.org/x/sync/errgroup"

	"netagauge/internal/core/piece"
	"netagauge/internal/judge/ticket"
	"netagauge/internal/keep/book"
	"netagauge/internal/work/record"
)

// Job is a folder to be checked into one run of the book.
type Job struct {
	Folder  string
	Trays   []Tray // inside the folder, from Trays
	Roster  Roster
	Minutes float64 // everybody took, where the roster has none; 0 when not told
	record.Recorder
	Run      book.Run
	Ticket   ticket.Ticket // of every tray
	Told     Told          // of single trays, onto their tickets
	Workers  int
	Language string        // of the pictures, by its tag; English when empty
	Seen     func(Outcome) // called once a tray, one at a time; may be nil
}

// Outcome is what became of one tray.
type Outcome struct {
	Tray
	Before  bool  // it was in the book already
	Refused bool  // the photo could not be measured, and the book says why
	Err     error // why a photo could not be read or checked; it is not in the book then
	entry   book.Entry
}

// Do checks every tray that is not in the book yet and then enters the whole
// folder into the run. A tray that fails is among the outcomes with its error
// and stops no other. When ctx is done, Do stops after the trays in hand and
// returns its error: what was measured is in the book, and the next Do goes on
// from there.
func (j Job) Do(ctx context.Context) ([]Outcome, error) {
	outcomes := make([]Outcome, len(j.Trays))
	var group errgroup.Group
	group.SetLimit(max(1, j.Workers))
	var saying sync.Mutex
	for i, tray := range j.Trays {
		if ctx.Err() != nil {
			break
		}
		group.Go(func() error {
			o, err := j.one(ctx, tray)
			if err != nil || ctx.Err() != nil {
				return err
			}
			saying.Lock()
			defer saying.Unlock()
			outcomes[i] = o
			if j.Seen != nil {
				j.Seen(o)
			}
			return nil
		})
	}
	if err := group.Wait(); err != nil {
		return nil, err
	}
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	return outcomes, j.enter(ctx, outcomes)
}

// one records one tray. Its error is the book's, which stops the class.
func (j Job) one(ctx context.Context, files Tray) (Outcome, error) {
	o := Outcome{Tray: files}
	tray, err := files.Read(j.Folder, j.Told.of(j.Ticket, files.File))
	tray.Language = j.Language
	if err != nil {
		o.Err = err
		return o, nil
	}
	kept, err := j.Record(ctx, tray)
	var not record.NotMeasuredError
	if errors.As(err, &not) {
		o.Err = not.Cause
		return o, nil
	}
	o.Before, o.Refused, o.entry = kept.Before, kept.Report.Status == piece.TrayRefused, book.Entry{File: files.File, Photo: tray.Photos(), Result: kept.ID}
	return o, err
}

func (j Job) enter(ctx context.Context, outcomes []Outcome) error {
	var entries []book.Entry
	var results []int64
	for _, o := range outcomes {
		if o.Err == nil {
			entries, results = append(entries, o.entry), append(results, o.entry.Result)
		}
	}
	labels, err := j.Book.Labels(ctx, results)
	if err != nil {
		return err
	}
	for i := range entries {
		entries[i].Label = labels[entries[i].Result]
	}
	assign(entries, j.Roster)
	var errs []error
	for name, minutes := range j.minutes(entries) {
		errs = append(errs, j.Book.SetPace(ctx, j.Run.Session, name, minutes))
	}
	return errors.Join(append(errs, j.Book.Finish(ctx, j.Run.ID, entries))...)
}

// minutes are those entered for each trainee, or else for everybody.
func (j Job) minutes(entries []book.Entry) map[string]float64 {
	out := map[string]float64{}
	for _, e := range entries {
		if e.Trainee != "" && j.Minutes > 0 {
			out[e.Trainee] = j.Minutes
		}
	}
	maps.Copy(out, j.Roster.Minutes())
	return out
}
