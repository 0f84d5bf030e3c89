package book

import (
	"bytes"
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"netagauge/internal/judge/ticket"
	"strings"

	"netagauge/internal/tell/report"
)

// Key says which measurement a result is: of what content (HashPhotos), by which
// ticket, and by which version of the program.
type Key struct{ Photo, Ticket, Program string }

// Hash is the SHA-256 of content in hexadecimal.
func Hash(content []byte) string {
	sum := sha256.Sum256(content)
	return hex.EncodeToString(sum[:])
}

// HashPhotos stands for the content of a tray's photo and of a second one of the
// same tray, nil for none: the hash of the photo, and for two both hashes with +
// between them. So a result of a pair is never that of its first photo alone.
func HashPhotos(photo, second []byte) string {
	if second == nil {
		return Hash(photo)
	}
	return JoinHashes(Hash(photo), Hash(second))
}

// JoinHashes is HashPhotos of two photos whose hashes are known.
func JoinHashes(photo, second string) string { return photo + "+" + second }

// Hashes takes apart what HashPhotos put together: the first photo's hash, and
// the second's if there is one.
func Hashes(photos string) []string { return strings.Split(photos, "+") }

// Ticket records what photos are measured with and held against, and returns the
// hash that stands for it.
func (b *Book) Ticket(ctx context.Context, t ticket.Ticket) (string, error) {
	text, err := json.Marshal(t)
	if err != nil {
		return "", fmt.Errorf("describe the standard %q: %w", t.Standard.Name, err)
	}
	hash := Hash(text)
	_, err = b.db.ExecContext(ctx, `INSERT INTO asked (hash, standard, json, first_used) VALUES (?, ?, ?, ?) ON CONFLICT DO NOTHING`, hash, t.Standard.Name, string(text), now())
	return hash, b.fail("keep the ticket", err)
}

// Find looks for a result; found is false when there is none yet.
func (b *Book) Find(ctx context.Context, k Key) (id int64, found bool, err error) {
	err = b.db.QueryRowContext(ctx, `SELECT id FROM result WHERE photo_hash = ? AND asked_hash = ? AND program = ?`, k.Photo, k.Ticket, k.Program).Scan(&id)
	if errors.Is(err, sql.ErrNoRows) {
		return 0, false, nil
	}
	return id, err == nil, b.fail("look for a photo", err)
}

// Keep adds a result with its annotated picture, which may be empty, and
// returns its id. A result that is there already stays as it is.
func (b *Book) Keep(ctx context.Context, k Key, r report.Report, picture []byte) (int64, error) {
	var text bytes.Buffer
	if err := report.JSON(&text, r); err != nil {
		return 0, err
	}
	var id int64
	err := b.in(ctx, func(tx *sql.Tx) error {
		done, err := tx.ExecContext(ctx, `INSERT INTO result (photo_hash, asked_hash, program, status, label, problem, report, picture, measured_at)
			VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?) ON CONFLICT DO NOTHING`,
			k.Photo, k.Ticket, k.Program, r.Status, labelOf(r), problemOf(r), strings.TrimSpace(text.String()), nullBytes(picture), now())
		if err != nil {
			return err
		}
		if n, err := done.RowsAffected(); err != nil || n == 0 {
			return errors.Join(err, tx.QueryRowContext(ctx, `SELECT id FROM result WHERE photo_hash = ? AND asked_hash = ? AND program = ?`, k.Photo, k.Ticket, k.Program).Scan(&id))
		}
		if id, err = done.LastInsertId(); err != nil {
			return err
		}
		return keepPieces(ctx, tx, id, r.Pieces)
	})
	return id, b.fail("keep a photo", err)
}

func nullBytes(b []byte) any {
	if len(b) == 0 {
		return nil
	}
	return b
}

func labelOf(r report.Report) string {
	if r.Mat == nil {
		return ""
	}
	return r.Mat.Label
}

func problemOf(r report.Report) string {
	if len(r.Problems) == 0 {
		return ""
	}
	p := r.Problems[0]
	return fmt.Sprintf("%s: %s; %s", p.Code, p.Message, p.Remedy)
}

// Report reads a result's report as it was measured.
func (b *Book) Report(ctx context.Context, result int64) (report.Report, error) {
	var text string
	var r report.Report
	if err := b.db.QueryRowContext(ctx, `SELECT report FROM result WHERE id = ?`, result).Scan(&text); err != nil {
		return r, b.fail("read a photo's report", err)
	}
	if err := json.Unmarshal([]byte(text), &r); err != nil {
		return r, fmt.Errorf("record book %q, result %d: %w", b.path, result, err)
	}
	return r, nil
}

// Picture reads a result's annotated picture, nil when it has none.
func (b *Book) Picture(ctx context.Context, result int64) ([]byte, error) {
	var jpeg []byte
	err := b.db.QueryRowContext(ctx, `SELECT picture FROM result WHERE id = ?`, result).Scan(&jpeg)
	return jpeg, b.fail("read a photo's picture", err)
}
