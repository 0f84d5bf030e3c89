package intake

import (
	"context"
	"encoding/json"
	"slices"
	"strings"
	"time"

	"netagauge/internal/core/phrase"
	"netagauge/internal/keep/book"
	"netagauge/internal/keep/database"
)

// SetSession begins a class, line or exam, or changes what it is held against. Photos
// received before keep what they were measured with; Again measures them anew.
func (f *Folder) SetSession(ctx context.Context, s Session) error {
	if strings.TrimSpace(s.Name) == "" || !slices.Contains([]Kind{Class, Line, Exam}, s.Kind) {
		return phrase.Wrong("intake-no-name")
	}
	if err := s.Ticket.Check(); err != nil {
		return err
	}
	ticket, err := json.Marshal(s.Ticket)
	if err != nil {
		return err
	}
	day := ""
	if s.Kind == Class {
		day = s.HeldOn.Format(time.DateOnly)
	}
	_, err = f.db.ExecContext(ctx, `INSERT INTO sent_to (kind, name, held_on, ticket) VALUES ($1, $2, $3, $4)
		ON CONFLICT (kind, name) DO UPDATE SET held_on = excluded.held_on, ticket = excluded.ticket`, s.Kind, s.Name, day, string(ticket))
	if err != nil {
		return f.fail("keep the session", err)
	}
	f.tell()
	return nil
}

// ClassNames lists classes but for one, latest day first: so many of them, from a
// place on.
func (f *Folder) ClassNames(ctx context.Context, but string, from, n int) ([]string, error) {
	out, err := database.All[string](f.db.QueryContext(ctx, `SELECT name FROM sent_to WHERE kind = 'class' AND name <> $1 ORDER BY held_on DESC, name LIMIT $2 OFFSET $3`, but, n, from))
	return out, f.fail("read the classes", err)
}

// Session finds one; ErrNoSession when there is none.
func (f *Folder) Session(ctx context.Context, k Kind, name string) (Session, error) {
	all, err := f.sessions(ctx, `WHERE kind = $1 AND name = $2`, k, name)
	if err == nil && len(all) == 0 {
		err = ErrNoSession
	}
	if err != nil {
		return Session{}, err
	}
	return all[0], nil
}

func (f *Folder) sessions(ctx context.Context, where string, args ...any) ([]Session, error) {
	out, err := database.Each(scanSession)(f.db.QueryContext(ctx, `SELECT kind, name, held_on, ticket FROM sent_to `+where, args...))
	return out, f.fail("read the sessions", err)
}

func scanSession(scan database.Row) (s Session, err error) {
	var day, ticket string
	if err := scan(&s.Kind, &s.Name, &day, &ticket); err != nil {
		return s, err
	}
	if day != "" {
		if s.HeldOn, err = time.Parse(time.DateOnly, day); err != nil {
			return s, err
		}
	}
	return s, json.Unmarshal([]byte(ticket), &s.Ticket)
}

// Run is the class's run in the book, for board.Load: every measured or refused
// photo of the class is entered in it.
func (f *Folder) Run(ctx context.Context, name string) (book.Run, error) {
	var run book.Run
	err := f.alone(ctx, func(ctx context.Context) (err error) {
		run, err = f.run(ctx, name)
		return err
	})
	return run, err
}
