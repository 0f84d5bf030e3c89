package book

import (
	"context"
	"database/sql"
	"strings"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/keep/database"
)

// Override keeps what was decided about a piece of a tray, by its hashes, unless
// the last one about the piece says the same. It is kept with the first photo, whose
// pieces are numbered, so that it stays when a second photo comes or goes. Every one
// stays, also when a later one undoes it.
func (b *Book) Override(ctx context.Context, photo string, o piece.Override) error {
	if strings.TrimSpace(o.Reason) == "" && o.Kind != piece.AsMeasured {
		return phrase.Wrong("override-reason")
	}
	first := Hashes(photo)[0]
	err := b.db.In(ctx, func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, `INSERT INTO override (photo_hash, piece, x_mm, y_mm, kind, reason, made_at, who) SELECT $1, $2, $3, $4, $5, $6, $7, $8
			WHERE $5 || ':' || $6 IS DISTINCT FROM (SELECT kind || ':' || reason FROM override WHERE photo_hash = $1 AND piece = $2 ORDER BY id DESC LIMIT 1)`,
			first, o.Piece, o.At[0], o.At[1], o.Kind, o.Reason, now(), o.Who)
		if err != nil {
			return err
		}
		return changed(ctx, tx, `id IN (SELECT e.run_id FROM entry e JOIN result r ON r.id = e.result_id WHERE substr(r.photo_hash, 1, 64) = $1)`, first)
	})
	return b.fail("keep the override", err)
}

// Overrides returns every one of a tray, oldest first, by its HashPhotos.
func (b *Book) Overrides(ctx context.Context, photo string) ([]piece.Override, error) {
	first := Hashes(photo)[0]
	all, err := b.OverridesOf(ctx, []string{first})
	return all[first], err
}

// OverridesOf are those of trays, by the hash of the first photo.
func (b *Book) OverridesOf(ctx context.Context, first []string) (map[string][]piece.Override, error) {
	return b.overrides(ctx, b.db.Among("photo_hash", "$1"), database.List(b.db, first))
}

// OverridesIn returns those about the trays of a run, by the hash of the first photo.
func (b *Book) OverridesIn(ctx context.Context, run int64) (map[string][]piece.Override, error) {
	return b.overrides(ctx, `photo_hash IN (SELECT substr(r.photo_hash, 1, 64) FROM entry e JOIN result r ON r.id = e.result_id WHERE e.run_id = $1 AND e.present = 1)`, run)
}

func (b *Book) overrides(ctx context.Context, where string, arg any) (map[string][]piece.Override, error) {
	out := map[string][]piece.Override{}
	err := database.Every(func(scan database.Row) error {
		var photo string
		var o piece.Override
		err := scan(&photo, &o.Piece, &o.At[0], &o.At[1], &o.Kind, &o.Reason, &o.Who)
		out[photo] = append(out[photo], o)
		return err
	})(b.db.QueryContext(ctx, `SELECT photo_hash, piece, x_mm, y_mm, kind, reason, who FROM override WHERE `+where+` ORDER BY id`, arg))
	return out, b.fail("read the overrides", err)
}

// Spoken are the trays that somebody spoke about, whether an instructor or who watches a
// line, by the hash of the first photo; and those that a class is held against, by the
// ID of the shot.
func (b *Book) Spoken(ctx context.Context) (map[string]bool, error) {
	photos, err := database.All[string](b.db.QueryContext(ctx, `SELECT photo_hash FROM override UNION SELECT photo FROM remark UNION SELECT reference FROM assignment WHERE reference <> ''`))
	if err != nil {
		return nil, b.fail("look for what was spoken about", err)
	}
	out := map[string]bool{}
	for _, p := range photos {
		out[p] = true
	}
	return out, nil
}
