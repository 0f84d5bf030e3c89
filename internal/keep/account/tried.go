package account

import (
	"context"
	"database/sql"
	"errors"
	"time"
)

// Owed is how long it takes until all is forgiven that somebody tried in vain, at
// whichever server: what it is that was tried, and who, are the caller's words.
func (a *Accounts) Owed(ctx context.Context, what, who string) (time.Duration, error) {
	var at int64
	err := a.db.QueryRowContext(ctx, `SELECT forgiven_at FROM tried WHERE hash = $1`, digest(what+"\x00"+who)).Scan(&at)
	if errors.Is(err, sql.ErrNoRows) {
		return 0, nil
	}
	return max(0, time.UnixMilli(at).Sub(a.now())), a.fail("read what was tried", err)
}

// Owe adds to that, up to so much, and forgets whom everything is forgiven.
func (a *Accounts) Owe(ctx context.Context, what, who string, more, most time.Duration) error {
	return a.in(ctx, "keep what was tried", func(tx *sql.Tx) error {
		now, key := a.now().UnixMilli(), digest(what+"\x00"+who)
		if _, err := tx.ExecContext(ctx, `DELETE FROM tried WHERE forgiven_at <= $1`, now); err != nil {
			return err
		}
		_, err := tx.ExecContext(ctx, `INSERT INTO tried (hash, forgiven_at) VALUES ($1, $2)
			ON CONFLICT (hash) DO UPDATE SET forgiven_at = CASE WHEN tried.forgiven_at + $3 < $4 THEN tried.forgiven_at + $3 ELSE $4 END`,
			key, now+more.Milliseconds(), more.Milliseconds(), now+most.Milliseconds())
		return err
	})
}
