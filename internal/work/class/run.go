package class

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"sync"

	"golang.org/x/sync/errgroup"

	"netagauge/internal/keep/book"
	"netagauge/internal/tell/report"
)

// Check measures one photo, with the help of a second one of the same tray if
// there is one, and returns its report and annotated picture, which may be
// empty. It is called from several goroutines.
type Check func(ctx context.Context, p, second Photo) (report.Report, []byte, error)

// Job is a folder to be checked into one run of the book.
type Job struct {
	Folder  string
	Trays   []Tray // inside the folder, from Trays
	Roster  Roster
	Minutes float64 // everybody took, where the roster has none; 0 when not told
	Book    *book.Book
	Run     book.Run
	Asked   string // hash
	Program string
	Check   Check
	Workers int
	Seen    func(Outcome) // called once a tray, one at a time; may be nil
}

// Outcome is what became of one tray.
type Outcome struct {
	Tray
	Before bool  // it was in the book already
	Err    error // why a photo could not be read or checked; it is not in the book then
	entry  book.Entry
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

// one checks one tray. Its error is the book's, which stops the class: what
// cannot be kept need not be measured.
func (j Job) one(ctx context.Context, tray Tray) (Outcome, error) {
	o := Outcome{Tray: tray}
	p, second, err := tray.Read(j.Folder)
	if err != nil {
		o.Err = err
		return o, nil
	}
	k := book.Key{Photo: book.HashPhotos(p.Data, second.Data), Asked: j.Asked, Program: j.Program}
	o.entry = book.Entry{File: tray.File, Photo: k.Photo}
	if o.entry.Result, o.Before, err = j.Book.Find(ctx, k); err != nil || o.Before {
		return o, err
	}
	r, picture, err := j.check(ctx, p, second)
	if err != nil {
		o.Err = err
		return o, nil
	}
	o.entry.Result, err = j.Book.Keep(context.WithoutCancel(ctx), k, r, picture)
	return o, err
}

// check turns a panic over one photo into its error.
func (j Job) check(ctx context.Context, p, second Photo) (r report.Report, picture []byte, err error) {
	defer func() {
		if mistake := recover(); mistake != nil {
			err = fmt.Errorf("the program made a mistake over this photo (%v); please report it", mistake)
		}
	}()
	return j.Check(ctx, p, second)
}

func (j Job) enter(ctx context.Context, outcomes []Outcome) error {
	var entries []book.Entry
	for _, o := range outcomes {
		if o.Err != nil {
			continue
		}
		label, err := j.Book.Seen(ctx, o.entry.Result)
		if err != nil {
			return err
		}
		o.entry.Label = label
		entries = append(entries, o.entry)
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
