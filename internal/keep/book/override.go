package book

import (
	"context"
	"errors"
	"strings"
)

// Kinds of override.
const (
	NotASlice = "not-a-slice" // leave the piece out of everything
	CountIt   = "count-it"    // it is a slice, whatever the program took it for
)

// Override is what a person decided about one piece of a photo, and why.
type Override struct {
	Photo  string     // HashPhotos of the tray
	Piece  int        // its number when the override was made
	At     [2]float64 // middle of its outline, mat frame, mm
	Kind   string
	Reason string
	MadeAt string
}

// Override keeps a decision, unless the last one about the piece says the same.
// It is kept with the first photo, whose pieces are numbered, so that it stays
// when a second photo comes or goes.
func (b *Book) Override(ctx context.Context, o Override) error {
	if strings.TrimSpace(o.Reason) == "" {
		return errors.New("an override needs a reason")
	}
	_, err := b.db.ExecContext(ctx, `INSERT INTO override (photo_hash, piece, x_mm, y_mm, kind, reason, made_at) SELECT ?1, ?2, ?3, ?4, ?5, ?6, ?7
		WHERE ?5 || ':' || ?6 IS NOT (SELECT kind || ':' || reason FROM override WHERE photo_hash = ?1 AND piece = ?2 ORDER BY id DESC LIMIT 1)`,
		Hashes(o.Photo)[0], o.Piece, o.At[0], o.At[1], o.Kind, o.Reason, now())
	return b.fail("keep the override", err)
}

// Overrides returns every decision about a tray, oldest first, by its HashPhotos.
func (b *Book) Overrides(ctx context.Context, photo string) ([]Override, error) {
	rows, err := b.db.QueryContext(ctx, `SELECT piece, x_mm, y_mm, kind, reason, made_at FROM override WHERE photo_hash = ? ORDER BY id`, Hashes(photo)[0])
	if err != nil {
		return nil, b.fail("read the overrides", err)
	}
	defer rows.Close()
	var out []Override
	for rows.Next() {
		o := Override{Photo: photo}
		if err := rows.Scan(&o.Piece, &o.At[0], &o.At[1], &o.Kind, &o.Reason, &o.MadeAt); err != nil {
			return nil, b.fail("read the overrides", err)
		}
		out = append(out, o)
	}
	return out, b.fail("read the overrides", rows.Err())
}
