package organisation

import (
	"context"
	"database/sql"
	"netagauge/internal/keep/database"
	"time"
)

// Move is one person's change of site, with the name at either.
type Move struct {
	FromSite, FromWho string
	ToSite, ToWho     string
	By                string // the owner who moved them
	At                time.Time
}

// Moved notes a move.
func (o *Organisation) Moved(ctx context.Context, m Move) error {
	_, err := o.db.ExecContext(ctx, `INSERT INTO move (from_site, from_who, to_site, to_who, by_whom, moved_at) VALUES ($1, $2, $3, $4, $5, $6)`,
		m.FromSite, m.FromWho, m.ToSite, m.ToWho, m.By, time.Now().UTC().Format(time.RFC3339Nano))
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
	})(tx.QueryContext(ctx, `SELECT from_site, from_who, to_site, to_who, by_whom, moved_at FROM move WHERE to_site = $1 AND to_who = $2 ORDER BY id DESC`, site, who))
}
