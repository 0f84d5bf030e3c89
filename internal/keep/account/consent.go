package account

import (
	"context"
	"database/sql"
	"errors"
	"time"

	"netagauge/internal/core/phrase"
)

// Consent is what a trainee said when asked whether trays may be kept under the name.
type Consent struct {
	Said  bool // asked and answered
	Given bool
	Terms string // as it was put
	At    time.Time
}

// Consent is what somebody said last.
func (a *Accounts) Consent(ctx context.Context, trainee string) (c Consent, err error) {
	var at int64
	err = a.db.QueryRowContext(ctx, `SELECT given, terms, said_at FROM consent WHERE trainee = $1 ORDER BY id DESC LIMIT 1`, trainee).Scan(&c.Given, &c.Terms, &at)
	if errors.Is(err, sql.ErrNoRows) {
		return Consent{}, nil
	}
	c.Said, c.At = true, time.Unix(at, 0)
	return c, a.fail("read what was consented to", err)
}

// SetConsent keeps what a trainee says to the terms.
func (a *Accounts) SetConsent(ctx context.Context, trainee, terms string, given bool) error {
	said := 0
	if given {
		said = 1
	}
	_, err := a.db.ExecContext(ctx, `INSERT INTO consent (trainee, given, terms, said_at) VALUES ($1, $2, $3, $4)`, trainee, said, terms, a.now().Unix())
	return a.fail("keep what was consented to", err)
}

// Remove takes a trainee out of the accounts: link, sessions, and what was consented to.
// Done again it finds nothing more. Whoever has a passcode keeps that: RemovePasscode.
func (a *Accounts) Remove(ctx context.Context, name string) error {
	return a.forget(ctx, []any{name}, `DELETE FROM browser WHERE who = $1 AND role = 'trainee'`, `DELETE FROM link WHERE trainee = $1`,
		`DELETE FROM consent WHERE trainee = $1`, `DELETE FROM place WHERE who = $1 AND role = 'trainee'`)
}

// forget deletes by statements of the same values, and whoever may then come in nowhere;
// nothing of it is left in the file.
func (a *Accounts) forget(ctx context.Context, of []any, statements ...string) error {
	err := a.in(ctx, "delete an account", func(tx *sql.Tx) error {
		for _, s := range statements {
			if _, err := tx.ExecContext(ctx, s, of...); err != nil {
				return err
			}
		}
		_, err := tx.ExecContext(ctx, placeless)
		return err
	})
	if err != nil {
		return err
	}
	return a.fail("clear the file", a.db.Scrub(ctx))
}

// HasPasscode reports whether a name has one.
func (a *Accounts) HasPasscode(ctx context.Context, name string) (bool, error) {
	var n int
	err := a.db.QueryRowContext(ctx, `SELECT count(*) FROM passcode WHERE name = $1`, name).Scan(&n)
	return n > 0, a.fail("read the passcodes", err)
}

// ErrPasscode is why a name cannot be forgotten yet.
var ErrPasscode = phrase.Wrong("removal-passcode")
