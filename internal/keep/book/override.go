package book

import (
	"context"
	"errors"
	"strings"

	"netagauge/internal/core/piece"
)

// Override keeps what was decided about a piece of a tray, by its hashes, unless
// the last one about the piece says the same. It is kept with the first photo, whose pieces are numbered, so that it stays
// when a second photo comes or goes.
func (b *Book) Override(ctx context.Context, photo string, o piece.Override) error {
	if strings.TrimSpace(o.Reason) == "" {
		return errors.New("an override needs a reason")
	}
	_, err := b.db.ExecContext(ctx, `INSERT INTO override (photo_hash, piece, x_mm, y_mm, kind, reason, made_at) SELECT ?1, ?2, ?3, ?4, ?5, ?6, ?7
		WHERE ?5 || ':' || ?6 IS NOT (SELECT kind || ':' || reason FROM override WHERE photo_hash = ?1 AND piece = ?2 ORDER BY id DESC LIMIT 1)`,
		Hashes(photo)[0], o.Piece, o.At[0], o.At[1], o.Kind, o.Reason, now())
	return b.fail("keep the override", err)
}

// Overrides returns every one of a tray, oldest first.
func (b *Book) Overrides(ctx context.Context, photo string) ([]piece.Override, error) {
	rows, err := b.db.QueryContext(ctx, `SELECT piece, x_mm, y_mm, kind, reason FROM override WHERE photo_hash = ? ORDER BY id`, Hashes(photo)[0])
	if err != nil {
		return nil, b.fail("read the overrides", err)
	}
	defer rows.Close()
	var out []piece.Override
	for rows.Next() {
		var o piece.Override
		if err := rows.Scan(&o.Piece, &o.At[0], &o.At[1], &o.Kind, &o.Reason); err != nil {
			return nil, b.fail("read the overrides", err)
		}
		out = append(out, o)
	}
	return out, b.fail("read the overrides", rows.Err())
}
