package book

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"time"

	"netagauge/internal/core/phrase"
	"netagauge/internal/judge/yield"
	"netagauge/internal/keep/database"
)

// OpenBlock keeps a block that is cut from now on, and returns its ID.
func (b *Book) OpenBlock(ctx context.Context, x yield.Block) (id int64, err error) {
	if err := x.Check(); err != nil {
		return 0, err
	}
	id, err = b.db.Add(ctx, `INSERT INTO block (species, supplier, cutter, grams, per_kg, planned, opened_at) VALUES ($1, $2, $3, $4, $5, $6, $7) RETURNING id`,
		x.Species, x.Supplier, x.Cutter, x.Grams, x.PerKg, x.Planned, x.OpenedAt.UTC().Format(time.RFC3339))
	return id, b.fail("keep the block", err)
}

// CloseBlock keeps what became of an open block; of one that is closed already it says so
// and changes nothing.
func (b *Book) CloseBlock(ctx context.Context, x yield.Block) error {
	if err := x.Check(); err != nil {
		return err
	}
	done, err := b.db.ExecContext(ctx, `UPDATE block SET served = $1, served_grams = $2, left_grams = $3, remark = $4, closed_at = $5 WHERE id = $6 AND closed_at IS NULL`,
		x.Served, x.ServedGrams, x.LeftGrams, x.Remark, x.ClosedAt.UTC().Format(time.RFC3339), x.ID)
	if err != nil {
		return b.fail("close the block", err)
	}
	if n, err := done.RowsAffected(); err != nil || n == 0 {
		return errors.Join(err, phrase.Wrong("block-closed"))
	}
	return nil
}

// Blocks are those that are open, and the last so many that were closed; the latest first.
func (b *Book) Blocks(ctx context.Context, last int) ([]yield.Block, error) {
	out, err := database.Each(func(scan database.Row) (x yield.Block, err error) {
		var opened, closed string
		err = scan(&x.ID, &x.Species, &x.Supplier, &x.Cutter, &x.Grams, &x.PerKg, &x.Planned, &opened, &x.Served, &x.ServedGrams, &x.LeftGrams, &closed, &x.Remark)
		if err == nil {
			x.OpenedAt, err = time.Parse(time.RFC3339, opened)
		}
		if err == nil && closed != "" {
			x.ClosedAt, err = time.Parse(time.RFC3339, closed)
		}
		return x, err
	})(b.db.QueryContext(ctx, `SELECT id, species, supplier, cutter, grams, per_kg, planned, opened_at, served, served_grams, left_grams, coalesce(closed_at, ''), remark FROM block
		WHERE closed_at IS NULL OR id IN (SELECT id FROM block WHERE closed_at IS NOT NULL ORDER BY closed_at DESC, id DESC LIMIT $1)
		ORDER BY opened_at DESC, id DESC`, last))
	return out, b.fail("read the blocks", err)
}

// Handover is what one shift told the next.
type Handover struct {
	ID      int64
	Line    string
	By      string
	Remark  string
	Summary []phrase.Text // a sentence each
	MadeAt  time.Time
}

// AddHandover keeps one, and returns its ID.
func (b *Book) AddHandover(ctx context.Context, h Handover) (id int64, err error) {
	text, err := json.Marshal(h.Summary)
	if err != nil {
		return 0, fmt.Errorf("%s: %w", h.Line, err)
	}
	id, err = b.db.Add(ctx, `INSERT INTO handover (line, who, remark, summary, made_at) VALUES ($1, $2, $3, $4, $5) RETURNING id`, h.Line, h.By, h.Remark, string(text), h.MadeAt.UTC().Format(time.RFC3339))
	return id, b.fail("keep the hand-over", err)
}

// Handovers are a line's last so many, the latest first.
func (b *Book) Handovers(ctx context.Context, line string, last int) ([]Handover, error) {
	return b.handovers(ctx, `line = $1 ORDER BY made_at DESC, id DESC LIMIT $2`, line, last)
}

// Handover is the one of an ID; sql.ErrNoRows where there is none.
func (b *Book) Handover(ctx context.Context, line string, id int64) (Handover, error) {
	found, err := b.handovers(ctx, `line = $1 AND id = $2`, line, id)
	if err == nil && len(found) == 0 {
		err = sql.ErrNoRows
	}
	if err != nil {
		return Handover{}, err
	}
	return found[0], nil
}

func (b *Book) handovers(ctx context.Context, where string, args ...any) ([]Handover, error) {
	out, err := database.Each(func(scan database.Row) (h Handover, err error) {
		var text, at string
		err = scan(&h.ID, &h.Line, &h.By, &h.Remark, &text, &at)
		if err == nil {
			err = json.Unmarshal([]byte(text), &h.Summary)
		}
		if err == nil {
			h.MadeAt, err = time.Parse(time.RFC3339, at)
		}
		return h, err
	})(b.db.QueryContext(ctx, `SELECT id, line, who, remark, summary, made_at FROM handover WHERE `+where, args...))
	return out, b.fail("read the hand-overs", err)
}
