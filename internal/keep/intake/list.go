package intake

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"math"
	"os"
	"slices"
	"strings"
	"time"

	"netagauge/internal/core/phrase"
	"netagauge/internal/keep/database"
)

// Filter picks shots; what is empty picks all.
type Filter struct {
	Owner   string
	Kind    Kind
	Session string
	States  []State
	IDs     []string
	Last    int   // only so many, the latest received
	Before  int64 // only those received before the shot of this number
}

// List returns shots in the order of receipt.
func (f *Folder) List(ctx context.Context, w Filter) ([]Shot, error) {
	where, args := []string{"true"}, []any{}
	and := func(condition string, value any) { // with %d for the number of its placeholder
		args = append(args, value)
		where = append(where, fmt.Sprintf(condition, len(args)))
	}
	if w.Owner != "" {
		and("owner = $%d", w.Owner)
	}
	if w.Kind != "" {
		and("kind = $%d", w.Kind)
	}
	if w.Session != "" {
		and("session = $%d", w.Session)
	}
	if len(w.IDs) > 0 {
		and(f.db.Among("id", "$%d"), database.List(f.db, w.IDs))
	}
	if w.Before > 0 {
		and("number < $%d", w.Before)
	}
	if len(w.States) > 0 {
		states := make([]string, len(w.States))
		for i, s := range w.States {
			states[i] = string(s)
		}
		and(f.db.Among("state", "$%d"), database.List(f.db, states))
	}
	last := math.MaxInt64 // no limit
	if w.Last > 0 {
		last = w.Last
	}
	args = append(args, last)
	shots, err := f.shots(ctx, f.db, fmt.Sprintf(`WHERE %s ORDER BY number DESC LIMIT $%d`, strings.Join(where, " AND "), len(args)), args...)
	slices.Reverse(shots)
	return shots, err
}

// Shot finds one by its ID; ErrUnknown when there is none.
func (f *Folder) Shot(ctx context.Context, id string) (Shot, error) {
	return f.one(ctx, f.db, `WHERE id = $1`, id)
}

// Ahead is about how many shots will be measured before this one: others' first
// ones before its owner's second.
func (f *Folder) Ahead(ctx context.Context, s Shot) (int, error) {
	var n int
	err := f.db.QueryRowContext(ctx, `
		WITH open AS (SELECT number, row_number() OVER (PARTITION BY owner ORDER BY number) AS turn FROM shot WHERE state IN ('waiting', 'measuring')),
		     own  AS (SELECT number, turn FROM open WHERE number = $1)
		SELECT count(*) FROM open, own WHERE open.turn < own.turn OR open.turn = own.turn AND open.number < own.number`, s.Number).Scan(&n)
	return n, f.fail("count the photos", err)
}

// Oldest is how many shots wait or are being measured, and when the one of them was
// received that came first; the zero time where there is none.
func (f *Folder) Oldest(ctx context.Context) (n int, since time.Time, err error) {
	var received string
	err = f.db.QueryRowContext(ctx, `SELECT count(*), coalesce(min(received), '') FROM shot WHERE state IN ('waiting', 'measuring')`).Scan(&n, &received)
	if err == nil && received != "" {
		since, err = time.Parse(time.RFC3339Nano, received)
	}
	return n, since, f.fail("look at the queue", err)
}

// ReachPhotos fails where the photos are out of reach.
func (f *Folder) ReachPhotos(ctx context.Context) error {
	_, err := f.photos.Stat(ctx, newID()+".jpg")
	if errors.Is(err, fs.ErrNotExist) {
		_, err = os.Stat(f.dir) // a folder that is gone has no photo, too
	}
	return err
}

// Waiting is how many shots wait or are being measured.
func (f *Folder) Waiting(ctx context.Context) (int, error) {
	var n int
	err := f.db.QueryRowContext(ctx, `SELECT count(*) FROM shot WHERE state IN ('waiting', 'measuring')`).Scan(&n)
	return n, f.fail("count the photos", err)
}

// pair is a shot with the second photo of its tray that counts: the last one that was
// not found of no use.
const pair = `(SELECT shot.*, coalesce(b.id, '') AS second_id, coalesce(b.name, '') AS second_name, coalesce(b.format, '') AS second_format,
	coalesce(b.bytes, 0) AS second_bytes, coalesce(b.hash, '') AS second_hash,
	EXISTS (SELECT 1 FROM second WHERE second.shot = shot.number AND useless = 1 AND number > coalesce(b.number, 0)) AS second_useless
	FROM shot LEFT JOIN second b ON b.number = (SELECT max(number) FROM second WHERE second.shot = shot.number AND useless = 0)) pair`

const columns = `number, id, owner, who, kind, session, place, ticket, name, format, bytes, hash, received, state, turn, code, why, result, dropped, second_id, second_name, second_format, second_bytes, second_hash, second_useless`

func (f *Folder) one(ctx context.Context, db database.Querier, where string, args ...any) (Shot, error) {
	shots, err := f.shots(ctx, db, where, args...)
	if err == nil && len(shots) == 0 {
		err = ErrUnknown
	}
	if err != nil {
		return Shot{}, err
	}
	return shots[0], nil
}

func (f *Folder) shots(ctx context.Context, db database.Querier, where string, args ...any) ([]Shot, error) {
	out, err := database.Each(scanShot)(db.QueryContext(ctx, `SELECT `+columns+` FROM `+pair+` `+where, args...))
	return out, f.fail("read the photos", err)
}

func scanShot(scan database.Row) (s Shot, err error) {
	var ticket, received, why, dropped string
	err = scan(&s.Number, &s.ID, &s.Owner, &s.Who, &s.Kind, &s.Session, &s.Place, &ticket, &s.Name, &s.Format, &s.Bytes, &s.Hash,
		&received, &s.State, &s.Turn, &s.Code, &why, &s.Result, &dropped,
		&s.Second.ID, &s.Second.Name, &s.Second.Format, &s.Second.Bytes, &s.Second.Hash, &s.Second.Useless)
	if err != nil {
		return s, err
	}
	s.Why = phrase.ReadKept(why)
	if dropped != "" {
		if s.Dropped, err = time.Parse(time.RFC3339, strings.TrimPrefix(dropped, dropping)); err != nil {
			return s, err
		}
	}
	if s.Received, err = time.Parse(time.RFC3339Nano, received); err != nil {
		return s, err
	}
	return s, json.Unmarshal([]byte(ticket), &s.Ticket)
}

// fail says what was being done to which folder.
func (f *Folder) fail(what string, err error) error {
	if err == nil {
		return nil
	}
	return fmt.Errorf("%s, %s: %w", f.dir, what, database.Plain(err))
}
