package book

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"strings"

	"netagauge/internal/core/piece"
	"netagauge/internal/judge/ticket"
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
	_, err = b.db.ExecContext(ctx, `INSERT INTO ticket (hash, standard, json, first_used) VALUES (?, ?, ?, ?) ON CONFLICT DO NOTHING`, hash, t.Standard.Name, string(text), now())
	return hash, b.fail("keep the ticket", err)
}

// Find looks for a result; found is false when there is none yet.
func (b *Book) Find(ctx context.Context, k Key) (id int64, found bool, err error) {
	err = b.look.QueryRowContext(ctx, `SELECT id FROM result WHERE photo_hash = ? AND ticket_hash = ? AND program = ?`, k.Photo, k.Ticket, k.Program).Scan(&id)
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
	_, err = b.db.ExecContext(ctx, `INSERT INTO result (photo_hash, ticket_hash, program, status, label, problem, report, picture, view, measured_at)
		VALUES (:photo, :ticket, :program, :status, :label, :problem, :report, :picture, :view, :at) ON CONFLICT DO NOTHING`,
		sql.Named("photo", k.Photo), sql.Named("ticket", k.Ticket), sql.Named("program", k.Program), sql.Named("status", r.Status),
		sql.Named("label", labelOf(r)), sql.Named("problem", problemOf(r)), sql.Named("report", string(text)), sql.Named("picture", nullBytes(p.Annotated)), sql.Named("view", nullBytes(p.View)), sql.Named("at", now()))
	if err != nil {
		return 0, b.fail("keep a photo", err)
	}
	id, _, err := b.Find(ctx, k)
	return id, err
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

// among is a condition on ids that come as a list in JSON.
const among = `id IN (SELECT value FROM json_each(?))`

// Reports returns the reports of results, by result.
func (b *Book) Reports(ctx context.Context, results []int64) (map[int64]piece.Tray, error) {
	out := map[int64]piece.Tray{}
	err := b.eachReport(ctx, b.look, among, list(results), func(id int64, r piece.Tray) error {
		out[id] = r
		return nil
	})
	return out, err
}

func list[T int64 | string](of []T) string {
	text, err := json.Marshal(of)
	if err != nil {
		panic(err) // they are numbers or texts
	}
	return string(text)
}

// querier is a connection or a transaction.
type querier interface {
	QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error)
}

// eachReport calls f with the reports of results, one after another.
func (b *Book) eachReport(ctx context.Context, q querier, where string, arg any, f func(result int64, r piece.Tray) error) error {
	rows, err := q.QueryContext(ctx, `SELECT id, report FROM result WHERE `+where+` ORDER BY id`, arg)
	if err != nil {
		return b.fail("read the reports", err)
	}
	defer rows.Close()
	for rows.Next() {
		var id int64
		var text []byte
		if err := rows.Scan(&id, &text); err != nil {
			return b.fail("read the reports", err)
		}
		var r piece.Tray
		if err := json.Unmarshal(text, &r); err != nil {
			return fmt.Errorf("%s, %d: %w", b.path, id, err)
		}
		if err := f(id, r); err != nil {
			return err
		}
	}
	return b.fail("read the reports", rows.Err())
}

// Picture reads a result's annotated picture, nil when it has none.
func (b *Book) Picture(ctx context.Context, result int64) ([]byte, error) {
	return b.jpeg(ctx, `SELECT picture FROM result WHERE id = ?`, result)
}

// View reads a result's picture of the field, nil when it has none: no mat was
// found, or a program of the time before measured it.
func (b *Book) View(ctx context.Context, result int64) ([]byte, error) {
	return b.jpeg(ctx, `SELECT view FROM result WHERE id = ?`, result)
}

// Viewed reports whether a result has a view.
func (b *Book) Viewed(ctx context.Context, result int64) (viewed bool, err error) {
	err = b.db.QueryRowContext(ctx, `SELECT view IS NOT NULL FROM result WHERE id = ?`, result).Scan(&viewed)
	return viewed, b.fail("look for a photo's picture", err)
}

func (b *Book) jpeg(ctx context.Context, query string, result int64) (jpeg []byte, err error) {
	err = b.look.QueryRowContext(ctx, query, result).Scan(&jpeg)
	return jpeg, b.fail("read a photo's picture", err)
}

// Labels are the labels on the mats of results; empty where there is none.
func (b *Book) Labels(ctx context.Context, results []int64) (map[int64]string, error) {
	rows, err := b.look.QueryContext(ctx, `SELECT id, label FROM result WHERE `+among, list(results))
	if err != nil {
		return nil, b.fail("read the photos", err)
	}
	defer rows.Close()
	out := map[int64]string{}
	for rows.Next() {
		var id int64
		var label string
		if err := rows.Scan(&id, &label); err != nil {
			return nil, b.fail("read the photos", err)
		}
		out[id] = label
	}
	return out, b.fail("read the photos", rows.Err())
}

// TicketOf returns the ticket of a run.
func (b *Book) TicketOf(ctx context.Context, run int64) (ticket.Ticket, error) {
	t, err := b.ticketOf(ctx, `SELECT ticket_hash FROM run WHERE id = ?`, run)
	return t, b.fail("read the ticket of a session", err)
}

// TicketOfResult returns the ticket that a result was measured by.
func (b *Book) TicketOfResult(ctx context.Context, result int64) (ticket.Ticket, error) {
	t, err := b.ticketOf(ctx, `SELECT ticket_hash FROM result WHERE id = ?`, result)
	return t, b.fail("read the ticket of a photo", err)
}

func (b *Book) ticketOf(ctx context.Context, hash string, of int64) (t ticket.Ticket, err error) {
	var text string
	err = b.look.QueryRowContext(ctx, `SELECT json FROM ticket WHERE hash = (`+hash+`)`, of).Scan(&text)
	if err == nil {
		err = json.Unmarshal([]byte(text), &t)
	}
	return t, err
}
