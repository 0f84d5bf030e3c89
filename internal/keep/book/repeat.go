package book

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"time"
)

// Repeat is a comparison of photos of one untouched tray. SD has the repeatability
// standard deviation of each measure by its name in files.
type Repeat struct {
	Photos, Slices int
	Mat            string
	SD             map[string]float64
	DoneAt         time.Time // set by AddRepeat
}

// AddRepeat keeps a comparison, done now.
func (b *Book) AddRepeat(ctx context.Context, r Repeat) error {
	sd, err := json.Marshal(r.SD)
	if err != nil {
		return err
	}
	_, err = b.db.ExecContext(ctx, `INSERT INTO repeat_check (photos, slices, mat, sd, done_at) VALUES ($1, $2, $3, $4, $5)`,
		r.Photos, r.Slices, r.Mat, string(sd), time.Now().UTC().Format(time.RFC3339))
	return b.fail("keep how photos repeat", err)
}

// LastRepeat is the newest comparison; false when there is none.
func (b *Book) LastRepeat(ctx context.Context) (r Repeat, done bool, err error) {
	var sd, at string
	err = b.db.QueryRowContext(ctx, `SELECT photos, slices, mat, sd, done_at FROM repeat_check ORDER BY id DESC LIMIT 1`).
		Scan(&r.Photos, &r.Slices, &r.Mat, &sd, &at)
	if errors.Is(err, sql.ErrNoRows) {
		return r, false, nil
	}
	if err == nil {
		err = json.Unmarshal([]byte(sd), &r.SD)
	}
	if err == nil {
		r.DoneAt, err = time.Parse(time.RFC3339, at)
	}
	return r, err == nil, b.fail("read how photos repeat", err)
}
