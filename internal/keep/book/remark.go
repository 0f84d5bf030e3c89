package book

import (
	"context"
	"strings"
	"time"

	"netagauge/internal/core/phrase"
	"netagauge/internal/keep/database"
)

// Remark is what somebody says about the signals of a spot check: that they are
// known, and why they came or what was done.
type Remark struct {
	Photo     string // the hash of the check's first photo
	Who, Says string // as entered; Who may be empty
	MadeAt    time.Time
}

// AddRemark keeps a remark about a check of a line, unless the last one about it
// says the same.
func (b *Book) AddRemark(ctx context.Context, line string, r Remark) error {
	if strings.TrimSpace(r.Says) == "" {
		return phrase.Wrong("remark-empty")
	}
	_, err := b.db.ExecContext(ctx, `INSERT INTO remark (line, photo, who, remark, made_at) SELECT $1, $2, $3, $4, $5
		WHERE $4 IS DISTINCT FROM (SELECT remark FROM remark WHERE line = $1 AND photo = $2 ORDER BY id DESC LIMIT 1)`, line, r.Photo, r.Who, r.Says, now())
	return b.fail("keep the remark", err)
}

// Remarks are those about checks of a line, by the hash of the first photo, oldest
// first.
func (b *Book) Remarks(ctx context.Context, line string, photos []string) (map[string][]Remark, error) {
	out := map[string][]Remark{}
	err := database.Every(func(scan database.Row) (err error) {
		var r Remark
		var at string
		if err = scan(&r.Photo, &r.Who, &r.Says, &at); err == nil {
			r.MadeAt, err = time.Parse(time.RFC3339, at)
		}
		out[r.Photo] = append(out[r.Photo], r)
		return err
	})(b.db.QueryContext(ctx, `SELECT photo, who, remark, made_at FROM remark
		WHERE line = $1 AND `+b.db.Among("photo", "$2")+` ORDER BY id`, line, database.List(b.db, photos)))
	return out, b.fail("read the remarks", err)
}
