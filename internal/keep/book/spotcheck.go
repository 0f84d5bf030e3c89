package book

import (
	"context"
	"database/sql"
	"errors"
	"math"
	"netagauge/internal/keep/database"
	"slices"
	"time"
)

// SpotCheck is one photo of slices taken on a line.
type SpotCheck struct {
	ID        int64  // set by SpotChecks
	Photo     string // its hash, set by SpotChecks
	Result    int64
	Line, Who string // as entered; Who may be empty
	File      string
	CheckedAt time.Time
}

// AddSpotCheck adds a photo to a line and returns its id; one that is there already
// is left alone and gives false.
func (b *Book) AddSpotCheck(ctx context.Context, s SpotCheck) (id int64, added bool, err error) {
	err = b.db.In(ctx, func(tx *sql.Tx) error {
		err := tx.QueryRowContext(ctx, `INSERT INTO spot_check (line, who, file, result_id, checked_at) VALUES ($1, $2, $3, $4, $5)
			ON CONFLICT (line, result_id) DO NOTHING RETURNING id`, s.Line, s.Who, s.File, s.Result, s.CheckedAt.UTC().Format(time.RFC3339)).Scan(&id)
		if added = err == nil; !errors.Is(err, sql.ErrNoRows) {
			return err
		}
		return tx.QueryRowContext(ctx, `SELECT id FROM spot_check WHERE line = $1 AND result_id = $2`, s.Line, s.Result).Scan(&id)
	})
	return id, added, b.fail("keep the spot check", err)
}

// Span says which checks of a line; the zero value all.
type Span struct {
	Since  time.Time
	Before int64 // only those that come before the check of this ID
	Last   int   // only so many, the latest
}

// SpotChecks returns checks of one line in the order of their time, each photo
// once, as last measured. The first 64 characters of what stands for its content
// are the photo's own hash: a second photo makes no second check.
func (b *Book) SpotChecks(ctx context.Context, line string, w Span) ([]SpotCheck, error) {
	since, last := "", math.MaxInt64 // no limits
	if !w.Since.IsZero() {
		since = w.Since.UTC().Format(time.RFC3339)
	}
	if w.Last > 0 {
		last = w.Last
	}
	out, err := database.Each(func(scan database.Row) (s SpotCheck, err error) {
		s = SpotCheck{Line: line}
		var at string
		if err := scan(&s.ID, &s.Photo, &s.Result, &s.Who, &s.File, &at); err != nil {
			return s, err
		}
		s.CheckedAt, err = time.Parse(time.RFC3339, at)
		return s, err
	})(b.db.QueryContext(ctx, `SELECT s.id, substr(r.photo_hash, 1, 64), s.result_id, s.who, s.file, s.checked_at FROM spot_check s JOIN result r ON r.id = s.result_id
		WHERE s.line = $1 AND s.checked_at >= $2 AND NOT EXISTS (SELECT 1 FROM result again JOIN spot_check later ON later.result_id = again.id AND later.line = s.line
			WHERE substr(again.photo_hash, 1, 64) = substr(r.photo_hash, 1, 64) AND later.id > s.id)
		AND (CAST($3 AS BIGINT) = 0 OR (s.checked_at, s.id) < (SELECT checked_at, id FROM spot_check WHERE id = $3))
		ORDER BY s.checked_at DESC, s.id DESC LIMIT $4`, line, since, w.Before, last))
	slices.Reverse(out)
	return out, b.fail("read the spot checks", err)
}

// Lines returns the names of the lines in the book.
func (b *Book) Lines(ctx context.Context) ([]string, error) {
	out, err := database.All[string](b.db.QueryContext(ctx, `SELECT DISTINCT line FROM spot_check ORDER BY line`))
	return out, b.fail("read the lines", err)
}
