package main

import (
	"context"
	"errors"
	"path"
	"strings"
	"sync/atomic"
	"time"

	"netagauge/internal/command"
	"netagauge/internal/core/phrase"
	"netagauge/internal/keep/database"
	"netagauge/internal/keep/move"
	"netagauge/internal/keep/photos/bucket"
)

const moveHelp = `Move a kitchen's whole record, photos and all, from a data folder to a
PostgreSQL server with a bucket for photos, or back. The old one stays as it is.

  netagauge move --from kitchen --dry-run \
    --to 'postgres://netagauge@record.example/netagauge,s3://kitchens/trays'
  netagauge move --from kitchen \
    --to 'postgres://netagauge@record.example/netagauge,s3://kitchens/trays'

Stop the servers of both first. A move that was stopped, however it was, goes on
when the same is said again. Every row and photo is held to its hash, and nobody
can open the new place before all of it is there. Passwords and secrets are read
from PGPASSWORD, AWS_ACCESS_KEY_ID and AWS_SECRET_ACCESS_KEY.

Exit codes: 0 moved, 2 wrong usage, 3 it could not be moved, and why.
`

func runMove(ctx context.Context, args []string, to *command.Caller) (int, error) {
	f := command.NewFlags("move", moveHelp, to)
	from := f.String("from", "", "data folder, or postgres://…,s3://…")
	target := f.String("to", "", "where it is moved: data folder, or postgres://…,s3://…; empty or not there")
	dry := f.Bool("dry-run", false, "only say how much there is to move")
	if err := to.ParseOptions(f, args); err != nil {
		return command.ExitUsage, err
	}
	if *from == "" || *target == "" && !*dry {
		return command.ExitUsage, command.Misuse("use-move")
	}
	a, errA := recordAt(*from)
	b, errB := recordAt(*target)
	if err := errors.Join(errA, errB); err != nil {
		return command.ExitUsage, command.MisuseOf(err)
	}
	if *target != "" && (a.database == "") == (b.database == "") {
		return command.ExitUsage, command.Misuse("move-kinds")
	}
	m := &mover{Caller: to}
	defer m.Close()
	if err := m.move(ctx, a, b, *dry); err != nil {
		return command.ExitRefused, err
	}
	return command.ExitPass, nil
}

// movePlace is a data folder, or else a shared place.
type movePlace struct {
	folder string
	sharedPlace
}

// recordAt reads where a record lies.
func recordAt(text string) (movePlace, error) {
	if !strings.HasPrefix(text, "postgres://") && !strings.HasPrefix(text, "postgresql://") {
		return movePlace{folder: text}, nil
	}
	at := strings.LastIndex(text, ",s3://")
	if at < 0 {
		return movePlace{}, phrase.Wrong("move-kinds")
	}
	return movePlace{sharedPlace: sharedPlace{text[:at], text[at+1:]}}, nil
}

// mover has what is open while a record is moved.
type mover struct {
	*command.Caller
	shared *shared
	open   []interface{ Close() error }
}

// Close closes all of it.
func (m *mover) Close() error {
	var errs []error
	for i := len(m.open) - 1; i >= 0; i-- {
		errs = append(errs, m.open[i].Close())
	}
	if m.shared != nil {
		errs = append(errs, m.shared.Close())
	}
	return errors.Join(errs...)
}

func (m *mover) move(ctx context.Context, a, b movePlace, dry bool) error {
	from, err := m.from(ctx, a)
	if err != nil {
		return err
	}
	all, err := from.Count(ctx)
	if err != nil {
		return err
	}
	m.Say("move-has", all.Rows, all.Photos, float64(all.Bytes)/1e6)
	if dry {
		return nil
	}
	if err := m.bring(ctx, from, b, from.Name(), all); err != nil {
		return err
	}
	m.Say("ran-move")
	return nil
}

// bring moves all there is, which the new place knows by a name should it be stopped.
func (m *mover) bring(ctx context.Context, from *move.Side, b movePlace, name string, all move.Count) error {
	to, ready, err := m.to(ctx, b, name)
	if err != nil {
		return err
	}
	return m.run(ctx, from, to, ready, all)
}

func (m *mover) run(ctx context.Context, from *move.Side, to *move.Target, ready func(context.Context) error, all move.Count) error {
	moved, err := move.Run(ctx, from, to, ready, m.progress(all))
	if err != nil {
		return err
	}
	if moved.Absent > 0 {
		m.Warn("move-absent", moved.Absent)
	}
	return nil
}

// at opens a site in a shared place: its schema, its name to people, and its photos.
func (m *mover) at(ctx context.Context, p sharedPlace, site string) (at database.Place, name string, store *bucket.Store, err error) {
	if m.shared == nil {
		if m.shared, err = p.openShared(ctx, m.Quietly()); err != nil {
			return at, "", nil, err
		}
	}
	where := m.shared.photos
	where.Prefix = path.Join(where.Prefix, site)
	store, err = bucket.Open(where, "")
	return m.shared.server.Schema(schemaOf(site)), where.String(), store, err
}

func (m *mover) from(ctx context.Context, p movePlace) (s *move.Side, err error) {
	if p.database == "" {
		s, err = move.Kitchen.FromFolder(p.folder)
	} else {
		at, name, store, aerr := m.at(ctx, p.sharedPlace, kitchenAlone)
		if aerr != nil {
			return nil, aerr
		}
		if sites, serr := m.shared.sites(ctx); serr != nil || sites != nil {
			return nil, errors.Join(serr, phrase.Wrong("move-sites"))
		}
		s, err = move.Kitchen.FromShared(ctx, at, name, store)
	}
	if err == nil {
		m.open = append(m.open, s)
	}
	return s, err
}

// to opens where a record is moved; ready is what is done there when all has come.
func (m *mover) to(ctx context.Context, p movePlace, from string) (t *move.Target, ready func(context.Context) error, err error) {
	if p.database == "" {
		t, err = move.Kitchen.ToFolder(ctx, p.folder, from)
	} else {
		at, name, store, aerr := m.at(ctx, p.sharedPlace, kitchenAlone)
		if aerr != nil {
			return nil, nil, aerr
		}
		t, err = move.Kitchen.ToShared(ctx, at, name, store, from)
		ready = m.enqueue(kitchenAlone)
	}
	if err == nil {
		m.open = append(m.open, t)
	}
	return t, ready, err
}

// enqueue puts a site's trays that wait into the queue.
func (m *mover) enqueue(site string) func(context.Context) error {
	return func(ctx context.Context) error {
		f, err := m.shared.folder(ctx, site)
		if err != nil {
			return err
		}
		return f.EnqueueAll(ctx)
	}
}

// progressEvery is how often it is said how far a move is.
const progressEvery = 5 * time.Second

// progress says how far it is, of all there is.
func (m *mover) progress(all move.Count) func(move.Count) {
	var last atomic.Int64
	last.Store(time.Now().UnixNano())
	return func(c move.Count) {
		was, now := last.Load(), time.Now().UnixNano()
		if now-was >= int64(progressEvery) && last.CompareAndSwap(was, now) {
			m.Warn("move-so-far", c.Rows, all.Rows, c.Photos, all.Photos)
		}
	}
}
