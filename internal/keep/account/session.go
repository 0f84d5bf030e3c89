package account

import (
	"context"
	"database/sql"
	"encoding/hex"
	"errors"
	"netagauge/internal/keep/database"
	"time"
)

// How long a browser stays signed in: a day in class for those with a passcode
// or the class code, a month for a trainee's own link. Our setting.
const (
	dayLong   = 14 * time.Hour
	monthLong = 30 * 24 * time.Hour
)

// Session is one signed-in browser.
type Session struct {
	Role    Role
	Who     string // name of the trainee, or of the passcode
	Limited bool   // came in by the class code: sees only what it sent itself
	Looking bool   // an owner, who may read pages of a site and change nothing
	Expires time.Time
	Consent Consent // a trainee's
	hash    []byte
	vouched bool // by a provider, which ends its people's access by the day
}

// Named reports whether what is sent is kept under the name.
func (s Session) Named() bool { return s.Role != Trainee || s.Consent.Given }

// Alias is what a trainee's session is called where trays are not kept under the name.
// Once the session has ended nobody can tell whose it was.
func (s Session) Alias() string { return hex.EncodeToString(s.hash[:8]) }

// begin keeps a new session and returns it with the secret for its cookie.
func (a *Accounts) begin(ctx context.Context, s Session, passcode *int64) (Session, string, error) {
	s, token := a.fresh(s)
	return s, token, a.in(ctx, "keep the session", func(tx *sql.Tx) error { return a.keep(ctx, tx, s, passcode) })
}

// fresh gives a new session its secret and its end.
func (a *Accounts) fresh(s Session) (Session, string) {
	token := a.secret()
	lasts := dayLong
	if s.Role == Trainee && !s.Limited && !s.vouched {
		lasts = monthLong
	}
	s.hash, s.Expires = digest(token), a.now().Add(lasts)
	return s, token
}

// keep keeps a fresh session, and none that has run out.
func (a *Accounts) keep(ctx context.Context, tx *sql.Tx, s Session, passcode *int64) error {
	if _, err := tx.ExecContext(ctx, `DELETE FROM browser WHERE expires_at <= $1`, a.now().Unix()); err != nil {
		return err
	}
	limited := 0
	if s.Limited {
		limited = 1
	}
	_, err := tx.ExecContext(ctx, `INSERT INTO browser (hash, role, who, limited, passcode, expires_at) VALUES ($1, $2, $3, $4, $5, $6)`,
		s.hash, s.Role, s.Who, limited, passcode, s.Expires.Unix())
	return err
}

// Session finds the session of a cookie's secret; found is false when there is
// none or it has run out.
func (a *Accounts) Session(ctx context.Context, token string) (s Session, found bool, err error) {
	s.hash = digest(token)
	var expires, said int64
	err = a.db.QueryRowContext(ctx, `SELECT b.role, b.who, b.limited, b.expires_at, coalesce(c.given, 0), coalesce(c.terms, ''), coalesce(c.said_at, 0)
		FROM browser b LEFT JOIN consent c ON c.id = (SELECT max(id) FROM consent WHERE trainee = b.who) WHERE b.hash = $1 AND b.expires_at > $2`, s.hash, a.now().Unix()).
		Scan(&s.Role, &s.Who, &s.Limited, &expires, &s.Consent.Given, &s.Consent.Terms, &said)
	if errors.Is(err, sql.ErrNoRows) {
		return Session{}, false, nil
	}
	s.Expires = time.Unix(expires, 0)
	if said > 0 {
		s.Consent.Said, s.Consent.At = true, time.Unix(said, 0)
	}
	return s, err == nil, a.fail("look for the session", err)
}

// SignOut ends a session.
func (a *Accounts) SignOut(ctx context.Context, s Session) error {
	_, err := a.db.ExecContext(ctx, `DELETE FROM browser WHERE hash = $1`, s.hash)
	return a.fail("sign out", err)
}

// Sent notes that a limited session sent a shot.
func (a *Accounts) Sent(ctx context.Context, s Session, shot string) error {
	_, err := a.db.ExecContext(ctx, `INSERT INTO sent (session, shot) VALUES ($1, $2) ON CONFLICT (session, shot) DO NOTHING`, s.hash, shot)
	return a.fail("note the photo", err)
}

// SentBy are the shots that a limited session sent.
func (a *Accounts) SentBy(ctx context.Context, s Session) ([]string, error) {
	out, err := database.All[string](a.db.QueryContext(ctx, `SELECT shot FROM sent WHERE session = $1 ORDER BY shot`, s.hash))
	return out, a.fail("look for the photos", err)
}

// HasSent reports whether a session sent a shot.
func (a *Accounts) HasSent(ctx context.Context, s Session, shot string) (bool, error) {
	var n int
	err := a.db.QueryRowContext(ctx, `SELECT count(*) FROM sent WHERE session = $1 AND shot = $2`, s.hash, shot).Scan(&n)
	return n > 0, a.fail("look for the photo", err)
}
