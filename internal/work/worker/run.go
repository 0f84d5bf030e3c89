package worker

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"sync"
	"time"

	"netagauge/internal/core/phrase"
	"netagauge/internal/keep/intake"
	"netagauge/internal/keep/photos"
	"netagauge/internal/work/record"
)

// Run measures what waits in the queue, in the order of receipt, and keeps the
// results, until ctx is done; shots in hand then wait for the next Run. Trouble
// that is not a photo's, such as a full disk, is told to complain, which may be
// nil and is called from several goroutines, and what was measured is kept as
// soon as the trouble is over.
func Run(ctx context.Context, q Queue, h Hands, complain func(error)) {
	r := newRunner(ctx, q, h, complain)
	var all sync.WaitGroup
	for range h.Workers() {
		all.Go(func() { r.run(ctx, q) })
	}
	all.Wait()
}

func newRunner(ctx context.Context, k Kitchen, h Hands, complain func(error)) runner {
	return runner{kitchen: k, hands: h, pause: lastPause, complain: func(err error) {
		if complain != nil && ctx.Err() == nil {
			complain(err)
		}
	}}
}

// Hands measure trays, so many at once and each no longer than so; a Pool's do.
type Hands interface {
	Workers() int
	Longest() time.Duration
	Measure(context.Context, record.Tray) (record.Result, error)
	Ended(site, code string, took time.Duration) // is told how each did
}

type runner struct {
	kitchen  Kitchen
	site     string // of several
	hands    Hands
	pause    time.Duration // after trouble that is no photo's
	complain func(error)
	turn     chan struct{} // has as many places as hands measure; nil where there are no more runners than that
}

// Pauses while there is trouble, and how often the list is looked at even when
// nothing seems to have changed.
const (
	firstPause = 500 * time.Millisecond
	lastPause  = 15 * time.Second
	idle       = 30 * time.Second
)

func (r runner) run(ctx context.Context, q Queue) {
	changed := q.Watch(ctx)
	for ctx.Err() == nil {
		var s intake.Shot
		found := false
		_ = r.insist(ctx, func() (err error) {
			s, found, err = q.Next(ctx)
			return err
		})
		if found {
			_ = r.one(ctx, s) // it waits again
			continue
		}
		select {
		case <-changed:
		case <-time.After(idle):
		case <-ctx.Done():
		}
	}
}

// one measures a shot that was taken and says how it ended; an error is why it did not.
func (r runner) one(ctx context.Context, s intake.Shot) error {
	keep := context.WithoutCancel(ctx) // half kept is measured again
	end, err := r.measure(ctx, s)
	if err == nil {
		return r.insist(ctx, func() error { return end(keep) }) // or the next run does it
	}
	r.complain(err)
	_ = r.insist(ctx, func() error { return r.kitchen.PutBack(keep, s) }) // or opening the queue does it
	select {
	case <-ctx.Done():
	case <-time.After(r.pause):
	}
	return err
}

// insist does something until it goes well, or gives the last error when ctx is
// done.
func (r runner) insist(ctx context.Context, do func() error) error {
	pause := firstPause
	for {
		err := do()
		if err == nil {
			return nil
		}
		r.complain(err)
		select {
		case <-ctx.Done():
			return err
		case <-time.After(pause):
		}
		pause = min(2*pause, lastPause)
	}
}

// measure returns how a shot ends. An error is no fault of the photo's.
func (r runner) measure(ctx context.Context, s intake.Shot) (end func(context.Context) error, err error) {
	began := time.Now()
	recorder := record.Recorder{Book: r.kitchen.Book(), Program: r.kitchen.Program(), Insist: r.insist, Measure: func(ctx context.Context, t record.Tray) (res record.Result, err error) {
		err = r.inTurn(ctx, &t, func() (err error) {
			began = time.Now()
			res, err = r.hands.Measure(ctx, t)
			return err
		})
		return res, err
	}}
	kept, err := recorder.Record(ctx, r.tray(ctx, s))
	if ctx.Err() != nil {
		return nil, ctx.Err()
	}
	if err == nil {
		r.hands.Ended(r.site, kept.Outcome().Code, time.Since(began))
		return func(ctx context.Context) error { return r.kitchen.Settle(ctx, s, kept.Outcome()) }, nil
	}
	code, why := ending(err)
	if code == "" {
		return nil, fmt.Errorf("photo %d waits again: %w", s.Number, err)
	}
	r.hands.Ended(r.site, code, time.Since(began))
	if code != intake.CodeEntered {
		r.complain(fmt.Errorf("photo %d, %s: %w", s.Number, s.ID, err))
	}
	return func(ctx context.Context) error { return r.kitchen.Fail(ctx, s, code, why) }, nil
}

// tray is what is to be measured of a shot.
func (r runner) tray(ctx context.Context, s intake.Shot) record.Tray {
	t := record.Tray{Ticket: s.Ticket, First: record.Photo{Name: s.Name, Hash: s.Hash, Open: opener(func() (*os.File, error) { return r.kitchen.OpenPhoto(ctx, s) })}}
	if s.Second.Counts() {
		t.Second = record.Photo{Name: s.Second.Name, Hash: s.Second.Hash, Open: opener(func() (*os.File, error) { return r.kitchen.OpenSecond(ctx, s) })}
	}
	return t
}

// opener is a photo in a file.
func opener(file func() (*os.File, error)) record.Opener {
	return func() (io.ReadCloser, int64, error) {
		f, err := file()
		if err != nil {
			return nil, 0, err
		}
		info, err := f.Stat()
		if err != nil {
			f.Close()
			return nil, 0, err
		}
		return f, info.Size(), nil
	}
}

// ending is why a shot failed, as a code and, of what was entered, for the person
// who sent it; there is none for trouble that will pass.
func ending(err error) (code string, why phrase.Text) {
	var entered record.EnteredError
	var mistake record.MistakeError
	switch {
	case errors.As(err, &entered):
		return intake.CodeEntered, phrase.Telling(entered)
	case errors.As(err, &mistake):
		return intake.CodeMistake, nil
	case errors.Is(err, fs.ErrNotExist), errors.Is(err, photos.ErrOther), errors.Is(err, record.ErrChanged):
		return intake.CodeMissing, nil
	case errors.Is(err, ErrSlow):
		return intake.CodeSlow, nil
	case errors.Is(err, ErrStopped):
		return intake.CodeStopped, nil
	}
	return "", nil
}
