package organisation

import (
	"context"
	"database/sql"
	"slices"
	"time"

	"netagauge/internal/keep/database"
)

// Move is one person's change of site, with the name at either.
type Move struct {
	FromSite, FromWho string
	ToSite, ToWho     string
	By                string // the owner who moved them
	At                time.Time
}

// A move that has not ended has a - before the time when it began.
const (
	isMove = ` from_site = $1 AND from_who = $2 AND to_site = $3 AND to_who = $4 `
	isOpen = ` substr(moved_at, 1, 1) = '-' `
)

// goesOn is for how long a move that was stopped is gone on with: later, who has the name
// at the other site may be somebody else. Our setting.
const goesOn = 24 * time.Hour

// Begun reports whether a move was begun before, lately, and did not end.
func (o *Organisation) Begun(ctx context.Context, m Move) (bool, error) {
	began, err := database.All[string](o.db.QueryContext(ctx, `SELECT substr(moved_at, 2) FROM move WHERE`+isMove+`AND`+isOpen, m.FromSite, m.FromWho, m.ToSite, m.ToWho))
	lately := slices.ContainsFunc(began, func(text string) bool {
		at, err := time.Parse(time.RFC3339Nano, text)
		return err == nil && time.Since(at) < goesOn
	})
	return lately, fail("read the moves", err)
}

// Begin notes that a move begins.
func (o *Organisation) Begin(ctx context.Context, m Move) error {
	_, err := o.db.ExecContext(ctx, `INSERT INTO move (from_site, from_who, to_site, to_who, by_whom, moved_at) VALUES ($1, $2, $3, $4, $5, $6)`,
		m.FromSite, m.FromWho, m.ToSite, m.ToWho, m.By, "-"+time.Now().UTC().Format(time.RFC3339Nano))
	return fail("note a move", err)
}

// GiveUp notes that a move that was begun is none.
func (o *Organisation) GiveUp(ctx context.Context, m Move) error {
	_, err := o.db.ExecContext(ctx, `DELETE FROM move WHERE`+isMove+`AND`+isOpen, m.FromSite, m.FromWho, m.ToSite, m.ToWho)
	return fail("note a move", err)
}

// Moved notes that a move ended.
func (o *Organisation) Moved(ctx context.Context, m Move) error {
	_, err := o.db.ExecContext(ctx, `UPDATE move SET moved_at = $1 WHERE from_site = $2 AND from_who = $3 AND to_site = $4 AND to_who = $5 AND`+isOpen,
		time.Now().UTC().Format(time.RFC3339Nano), m.FromSite, m.FromWho, m.ToSite, m.ToWho)
	return fail("note a move", err)
}

// Forget deletes the moves to and from a site of somebody whose records go there: who
// takes the name there later is somebody else.
func (o *Organisation) Forget(ctx context.Context, site, who string) error {
	_, err := o.db.ExecContext(ctx, `DELETE FROM move WHERE from_site = $1 AND from_who = $2 OR to_site = $1 AND to_who = $2`, site, who)
	if err == nil {
		err = o.db.Scrub(ctx)
	}
	return fail("forget the moves", err)
}

// Path are the moves that brought somebody to a site, the last one first. Each site and
// name is gone through once, whatever people are moved back and forth.
func (o *Organisation) Path(ctx context.Context, site, who string) (out []Move, err error) {
	seen := map[[2]string]bool{{site, who}: true}
	err = o.db.Snapshot(ctx, func(tx *sql.Tx) error {
		open := [][2]string{{site, who}}
		for len(open) > 0 {
			at := open[0]
			open = open[1:]
			moves, err := movesTo(ctx, tx, at[0], at[1])
			if err != nil {
				return err
			}
			for _, m := range moves {
				if from := [2]string{m.FromSite, m.FromWho}; !seen[from] {
					seen[from], open, out = true, append(open, from), append(out, m)
				}
			}
		}
		return nil
	})
	return out, fail("read the moves", err)
}

func movesTo(ctx context.Context, tx *sql.Tx, site, who string) ([]Move, error) {
	return database.Each(func(scan database.Row) (m Move, err error) {
		var at string
		if err = scan(&m.FromSite, &m.FromWho, &m.ToSite, &m.ToWho, &m.By, &at); err == nil {
			m.At, err = time.Parse(time.RFC3339Nano, at)
		}
		return m, err
	})(tx.QueryContext(ctx, `SELECT from_site, from_who, to_site, to_who, by_whom, moved_at FROM move WHERE to_site = $1 AND to_who = $2 AND NOT`+isOpen+`ORDER BY id DESC`, site, who))
}
