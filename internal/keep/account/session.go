package account

import (
	"context"
	"database/sql"
	"errors"
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
	Expires time.Time
	hash    []byte
	vouched bool // by a provider, which ends its people's access by the day
}

// begin keeps a new session and returns it with the secret for its cookie.
func (a *Accounts) begin(ctx context.Context, s Session, passcode *int64) (Session, string, error) {
	token := secret()
	lasts := dayLong
	if s.Role == Trainee && !s.Limited && !s.vouched {
		lasts = monthLong
	}
	s.hash, s.Expires = digest(token), a.now().Add(lasts)
	if _, err := a.db.ExecContext(ctx, `DELETE FROM session WHERE expires_at <= ?`, a.now().Unix()); err != nil {
		return s, "", a.fail("clear old sessions", err)
	}
	_, err := a.db.ExecContext(ctx, `INSERT INTO session (hash, role, who, limited, passcode, expires_at) VALUES (?, ?, ?, ?, ?, ?)`,
		s.hash, s.Role, s.Who, s.Limited, passcode, s.Expires.Unix())
	return s, token, a.fail("keep the session", err)
}

// Session finds the session of a cookie's secret; found is false when there is
// none or it has run out.
func (a *Accounts) Session(ctx context.Context, token string) (s Session, found bool, err error) {
	s.hash = digest(token)
	var expires int64
	err = a.db.QueryRowContext(ctx, `SELECT role, who, limited, expires_at FROM session WHERE hash = ? AND expires_at > ?`, s.hash, a.now().Unix()).
		Scan(&s.Role, &s.Who, &s.Limited, &expires)
	if errors.Is(err, sql.ErrNoRows) {
		return Session{}, false, nil
	}
	s.Expires = time.Unix(expires, 0)
	return s, err == nil, a.fail("look for the session", err)
}

// SignOut ends a session.
func (a *Accounts) SignOut(ctx context.Context, s Session) error {
	_, err := a.db.ExecContext(ctx, `DELETE FROM session WHERE hash = ?`, s.hash)
	return a.fail("sign out", err)
}

// Sent notes that a limited session sent a shot.
func (a *Accounts) Sent(ctx context.Context, s Session, shot string) error {
	_, err := a.db.ExecContext(ctx, `INSERT INTO sent VALUES (?, ?) ON CONFLICT DO NOTHING`, s.hash, shot)
	return a.fail("note the photo", err)
}

// SentBy are the shots that a limited session sent.
func (a *Accounts) SentBy(ctx context.Context, s Session) ([]string, error) {
	rows, err := a.db.QueryContext(ctx, `SELECT shot FROM sent WHERE session = ?`, s.hash)
	if err != nil {
		return nil, a.fail("look for the photos", err)
	}
	defer rows.Close()
	var out []string
	for rows.Next() {
		var id string
		if err := rows.Scan(&id); err != nil {
			return nil, a.fail("look for the photos", err)
		}
		out = append(out, id)
	}
	return out, a.fail("look for the photos", rows.Err())
}

// HasSent reports whether a session sent a shot.
func (a *Accounts) HasSent(ctx context.Context, s Session, shot string) (bool, error) {
	var n int
	err := a.db.QueryRowContext(ctx, `SELECT count(*) FROM sent WHERE session = ? AND shot = ?`, s.hash, shot).Scan(&n)
	return n > 0, a.fail("look for the photo", err)
}
