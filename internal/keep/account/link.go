package account

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"strings"
	"time"

	"netagauge/internal/core/phrase"
	"netagauge/internal/keep/database"
)

// NewLink makes a trainee's own link and returns its secret; an earlier link of
// theirs, and who came in with it, is out.
func (a *Accounts) NewLink(ctx context.Context, trainee string) (string, error) {
	if strings.TrimSpace(trainee) == "" {
		return "", phrase.Wrong("link-trainee")
	}
	token := a.secret()
	err := a.in(ctx, "make a link", func(tx *sql.Tx) error {
		if _, err := tx.ExecContext(ctx, `DELETE FROM browser WHERE role = 'trainee' AND who = $1`, trainee); err != nil {
			return err
		}
		_, err := tx.ExecContext(ctx, `INSERT INTO link (trainee, hash, created_at) VALUES ($1, $2, $3)
			ON CONFLICT (trainee) DO UPDATE SET hash = excluded.hash, created_at = excluded.created_at`, trainee, digest(token), a.now().Unix())
		return err
	})
	return token, err
}

// KeepOnly ends the links and sessions of trainees who are not among the names.
func (a *Accounts) KeepOnly(ctx context.Context, names []string) error {
	kept := database.List(a.db, names)
	return a.in(ctx, "end links", func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, `DELETE FROM browser WHERE role = 'trainee' AND NOT (`+a.db.Among("who", "$1")+`)`, kept)
		if err == nil {
			_, err = tx.ExecContext(ctx, `DELETE FROM link WHERE NOT (`+a.db.Among("trainee", "$1")+`)`, kept)
		}
		return err
	})
}

// Strike ends the link and the sessions of a trainee who is no more.
func (a *Accounts) Strike(ctx context.Context, trainee string) error {
	return a.in(ctx, "end links", func(tx *sql.Tx) error {
		if _, err := tx.ExecContext(ctx, `DELETE FROM browser WHERE role = 'trainee' AND who = $1`, trainee); err != nil {
			return err
		}
		_, err := tx.ExecContext(ctx, `DELETE FROM link WHERE trainee = $1`, trainee)
		return err
	})
}

// Linked tells which trainees have a link.
func (a *Accounts) Linked(ctx context.Context) (map[string]bool, error) {
	names, err := database.All[string](a.db.QueryContext(ctx, `SELECT trainee FROM link`))
	out := map[string]bool{}
	for _, name := range names {
		out[name] = true
	}
	return out, a.fail("read the links", err)
}

// LinkLong is how long a link opens: a course of half a year. Our setting.
const LinkLong = 183 * 24 * time.Hour

// LinkOf tells whose link a secret is, or gives ErrWrong.
func (a *Accounts) LinkOf(ctx context.Context, token string) (trainee string, err error) {
	err = a.db.QueryRowContext(ctx, `SELECT trainee FROM link WHERE hash = $1 AND created_at > $2`, digest(token), a.now().Add(-LinkLong).Unix()).Scan(&trainee)
	if errors.Is(err, sql.ErrNoRows) {
		return "", ErrWrong
	}
	return trainee, a.fail("look for the link", err)
}

// Follow opens a session for a link's secret, or gives ErrWrong.
func (a *Accounts) Follow(ctx context.Context, token string) (Session, string, error) {
	name, err := a.LinkOf(ctx, token)
	if err != nil {
		return Session{}, "", err
	}
	return a.begin(ctx, Session{Role: Trainee, Who: name}, nil)
}

// ClassCode is the code that lets the class in; it is made when first asked for.
func (a *Accounts) ClassCode(ctx context.Context) (string, error) {
	var code string
	err := a.db.QueryRowContext(ctx, `SELECT code FROM class_code`).Scan(&code)
	if errors.Is(err, sql.ErrNoRows) {
		return a.NewClassCode(ctx)
	}
	return code, a.fail("read the class code", err)
}

// NewClassCode takes the place of the old one and signs out those who came in
// with it.
func (a *Accounts) NewClassCode(ctx context.Context) (string, error) {
	digits := random("0123456789", 8)
	code := fmt.Sprintf("%s %s", digits[:4], digits[4:])
	err := a.in(ctx, "make a class code", func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, `INSERT INTO class_code ("only", code) VALUES (1, $1) ON CONFLICT ("only") DO UPDATE SET code = excluded.code`, code)
		if err == nil {
			_, err = tx.ExecContext(ctx, `DELETE FROM browser WHERE limited = 1`)
		}
		return err
	})
	return code, err
}

// ErrTaken is a name that another phone has taken.
var ErrTaken = phrase.Wrong("link-taken")

// Join opens a limited session for a trainee by the class code, or gives ErrWrong. A
// name belongs to the first phone that took it, whose session is now, until it signs
// out or Free: another gets ErrTaken.
func (a *Accounts) Join(ctx context.Context, code, trainee string, now Session) (Session, string, error) {
	if err := a.CheckClassCode(ctx, code); err != nil {
		return Session{}, "", err
	}
	s, token := a.fresh(Session{Role: Trainee, Who: trainee, Limited: true})
	taken := false
	err := a.in(ctx, "take the name", func(tx *sql.Tx) error { // so that of two phones at once one is first
		var others int
		err := tx.QueryRowContext(ctx, `SELECT count(*) FROM browser WHERE role = 'trainee' AND who = $1 AND expires_at > $2 AND hash <> $3`,
			trainee, a.now().Unix(), append([]byte{}, now.hash...)).Scan(&others)
		if taken = others > 0; taken || err != nil {
			return err
		}
		return a.keep(ctx, tx, s, nil)
	})
	if err == nil && taken {
		err = ErrTaken
	}
	if err != nil {
		return Session{}, "", err
	}
	return s, token, nil
}

// Taken lists the names that phones have taken.
func (a *Accounts) Taken(ctx context.Context) ([]string, error) {
	out, err := database.All[string](a.db.QueryContext(ctx, `SELECT DISTINCT who FROM browser WHERE role = 'trainee' AND expires_at > $1 ORDER BY who`, a.now().Unix()))
	return out, a.fail("read who has which name", err)
}

// Free signs out the phones that have a trainee's name. The trainee's link stays.
func (a *Accounts) Free(ctx context.Context, trainee string) error {
	return a.End(ctx, Trainee, trainee)
}

// CheckClassCode gives ErrWrong when the code is not the class's.
func (a *Accounts) CheckClassCode(ctx context.Context, code string) error {
	want, err := a.ClassCode(ctx)
	switch {
	case err != nil:
		return err
	case digits(code) != digits(want):
		return ErrWrong
	}
	return nil
}

// digits reads a code as people type it, full-width digits of a Japanese
// keyboard among them.
func digits(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r >= '0' && r <= '9':
			return r
		case r >= '０' && r <= '９':
			return r - '０' + '0'
		}
		return -1
	}, s)
}
