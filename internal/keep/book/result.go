package book

import (
	"cmp"
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"runtime"
	"strings"
	"sync"

	"golang.org/x/sync/errgroup"

	"netagauge/internal/core/piece"
	"netagauge/internal/judge/ticket"
	"netagauge/internal/keep/database"
)

// Key says which measurement a result is: of what content (JoinHashes), by which
// ticket, and by which version of the program.
type Key struct{ Photo, Ticket, Program string }

// Hash is the SHA-256 of content in hexadecimal.
func Hash(content []byte) string {
	sum := sha256.Sum256(content)
	return hex.EncodeToString(sum[:])
}

// JoinHashes stands for the content of a tray's photo and of a second one of the
// same tray, by their hashes: both with + between them. So a result of a pair is
// never that of its first photo alone, which goes by its own hash.
func JoinHashes(photo, second string) string { return photo + "+" + second }

// Hashes takes apart what JoinHashes put together: the first photo's hash, and
// the second's if there is one.
func Hashes(photos string) []string { return strings.Split(photos, "+") }

// Ticket records what photos are measured with and held against, and returns the
// hash that stands for it.
func (b *Book) Ticket(ctx context.Context, t ticket.Ticket) (string, error) {
	text, err := json.Marshal(t)
	if err != nil {
		return "", fmt.Errorf("%s: %w", t.Standard.Name, err)
	}
	hash := Hash(text)
	if _, kept := b.tickets.Load(hash); kept { // none is ever deleted
		return hash, nil
	}
	err = b.db.Set(ctx, `INSERT INTO ticket (hash, standard, json, first_used) VALUES ($1, $2, $3, $4) ON CONFLICT (hash) DO NOTHING`, hash, t.Standard.Name, string(text), now())
	if err == nil && !b.db.Turning(ctx) {
		b.tickets.Store(hash, true)
	}
	return hash, b.fail("keep the ticket", err)
}

// Find looks for a result; found is false when there is none yet.
func (b *Book) Find(ctx context.Context, k Key) (id int64, found bool, err error) {
	err = b.db.QueryRowContext(ctx, `SELECT id FROM result WHERE photo_hash = $1 AND ticket_hash = $2 AND program = $3`, k.Photo, k.Ticket, k.Program).Scan(&id)
	if errors.Is(err, sql.ErrNoRows) {
		return 0, false, nil
	}
	return id, err == nil, b.fail("look for a photo", err)
}

// Pictures are the JPEGs of a result: with the report drawn on it, and of the field
// with nothing on it. Either may be empty.
type Pictures struct{ Annotated, View []byte }

// Keep adds a result with its pictures and returns its id. A result that is there
// already stays as it is.
func (b *Book) Keep(ctx context.Context, k Key, r piece.Tray, p Pictures) (int64, error) {
	text, err := json.Marshal(r)
	if err != nil {
		return 0, fmt.Errorf("%s: %w", r.Photo.File, err)
	}
	var id int64
	err = b.db.SetOne(ctx, &id, `INSERT INTO result (photo_hash, ticket_hash, program, status, label, problem, report, picture, view, measured_at)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10) ON CONFLICT (photo_hash, ticket_hash, program) DO NOTHING RETURNING id`,
		k.Photo, k.Ticket, k.Program, r.Status, labelOf(r), problemOf(r), string(text), nullBytes(p.Annotated), nullBytes(p.View), now())
	if errors.Is(err, sql.ErrNoRows) {
		id, _, err := b.Find(ctx, k)
		return id, err
	}
	return id, b.fail("keep a photo", err)
}

func nullBytes(b []byte) any {
	if len(b) == 0 {
		return nil
	}
	return b
}

func labelOf(r piece.Tray) string {
	if r.Mat == nil {
		return ""
	}
	return r.Mat.Label
}

func problemOf(r piece.Tray) string {
	if len(r.Problems) == 0 {
		return ""
	}
	p := r.Problems[0]
	return fmt.Sprintf("%s: %s; %s", p.Code, p.Message, p.Remedy)
}

// Report reads a result's report as it was measured.
func (b *Book) Report(ctx context.Context, result int64) (piece.Tray, error) {
	all, err := b.Reports(ctx, []int64{result})
	if err == nil && len(all) == 0 {
		err = b.fail("read a photo's report", sql.ErrNoRows)
	}
	return all[result], err
}

// Reports returns the reports of results, by result.
func (b *Book) Reports(ctx context.Context, results []int64) (map[int64]piece.Tray, error) {
	out := map[int64]piece.Tray{}
	if len(results) == 0 {
		return out, nil
	}
	var mu sync.Mutex
	var reading errgroup.Group // on all processors: it is most of a board's time
	reading.SetLimit(runtime.GOMAXPROCS(0))
	err := b.eachText(ctx, b.db, b.db.Among("id", "$1"), database.List(b.db, results), func(id int64, text []byte) error {
		reading.Go(func() error {
			r, err := b.reportOf(id, text)
			mu.Lock()
			defer mu.Unlock()
			out[id] = r
			return err
		})
		return nil
	})
	return out, cmp.Or(reading.Wait(), err)
}

// eachReport calls f with the reports of results, one after another.
func (b *Book) eachReport(ctx context.Context, q database.Querier, where string, arg any, f func(result int64, r piece.Tray) error) error {
	return b.eachText(ctx, q, where, arg, func(id int64, text []byte) error {
		r, err := b.reportOf(id, text)
		if err != nil {
			return err
		}
		return f(id, r)
	})
}

func (b *Book) reportOf(id int64, text []byte) (r piece.Tray, err error) {
	if err := json.Unmarshal(text, &r); err != nil {
		return r, fmt.Errorf("%s, %d: %w", b.path, id, err)
	}
	return r, nil
}

// eachText calls f with the reports of results as they are kept.
func (b *Book) eachText(ctx context.Context, q database.Querier, where string, arg any, f func(result int64, text []byte) error) error {
	rows, err := q.QueryContext(ctx, `SELECT id, report FROM result WHERE `+where+` ORDER BY id`, arg)
	return database.Every(func(scan database.Row) error {
		var id int64
		var text []byte
		if err := scan(&id, &text); err != nil {
			return b.fail("read the reports", err)
		}
		return f(id, text)
	})(rows, b.fail("read the reports", err))
}

// Picture reads a result's annotated picture, nil when it has none.
func (b *Book) Picture(ctx context.Context, result int64) ([]byte, error) {
	return b.jpeg(ctx, `SELECT picture FROM result WHERE id = $1`, result)
}

// View reads a result's picture of the field, nil when it has none: no mat was
// found, or a program of the time before measured it.
func (b *Book) View(ctx context.Context, result int64) ([]byte, error) {
	return b.jpeg(ctx, `SELECT view FROM result WHERE id = $1`, result)
}

// Viewed reports whether a result has a view.
func (b *Book) Viewed(ctx context.Context, result int64) (viewed bool, err error) {
	err = b.db.QueryRowContext(ctx, `SELECT view IS NOT NULL FROM result WHERE id = $1`, result).Scan(&viewed)
	return viewed, b.fail("look for a photo's picture", err)
}

func (b *Book) jpeg(ctx context.Context, query string, result int64) (jpeg []byte, err error) {
	err = b.db.QueryRowContext(ctx, query, result).Scan(&jpeg)
	return jpeg, b.fail("read a photo's picture", err)
}

// Labels are the labels on the mats of results; empty where there is none. A result that
// is not there has none: its person was forgotten.
func (b *Book) Labels(ctx context.Context, results []int64) (map[int64]string, error) {
	out, err := database.Pairs[int64, string](b.db.QueryContext(ctx, `SELECT id, label FROM result WHERE `+b.db.Among("id", "$1"), database.List(b.db, results)))
	return out, b.fail("read the photos", err)
}

// TicketOf returns the ticket of a run.
func (b *Book) TicketOf(ctx context.Context, run int64) (ticket.Ticket, error) {
	t, err := b.ticketOf(ctx, `SELECT ticket_hash FROM run WHERE id = $1`, run)
	return t, b.fail("read the ticket of a session", err)
}

// TicketOfResult returns the ticket that a result was measured by.
func (b *Book) TicketOfResult(ctx context.Context, result int64) (ticket.Ticket, error) {
	t, err := b.ticketOf(ctx, `SELECT ticket_hash FROM result WHERE id = $1`, result)
	return t, b.fail("read the ticket of a photo", err)
}

// TicketBy returns the ticket of a hash.
func (b *Book) TicketBy(ctx context.Context, hash string) (ticket.Ticket, error) {
	t, err := b.ticketOf(ctx, `$1`, hash)
	return t, b.fail("read a ticket", err)
}

func (b *Book) ticketOf(ctx context.Context, hash string, of any) (t ticket.Ticket, err error) {
	var text string
	err = b.db.QueryRowContext(ctx, `SELECT json FROM ticket WHERE hash = (`+hash+`)`, of).Scan(&text)
	if err == nil {
		err = json.Unmarshal([]byte(text), &t)
	}
	return t, err
}
