package account

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"time"

	"netagauge/internal/core/phrase"
)

// NewLink makes a trainee's own link and returns its secret; an earlier link of
// theirs, and who came in with it, is out.
func (a *Accounts) NewLink(ctx context.Context, trainee string) (string, error) {
	if strings.TrimSpace(trainee) == "" {
		return "", phrase.Wrong("link-trainee")
	}
	token := secret()
	tx, err := a.db.BeginTx(ctx, nil)
	if err != nil {
		return "", a.fail("make a link", err)
	}
	defer tx.Rollback()
	if _, err := tx.ExecContext(ctx, `DELETE FROM session WHERE role = 'trainee' AND who = ?`, trainee); err != nil {
		return "", a.fail("make a link", err)
	}
	_, err = tx.ExecContext(ctx, `INSERT INTO link VALUES (?1, ?2, ?3) ON CONFLICT (trainee) DO UPDATE SET hash = ?2, created_at = ?3`, trainee, digest(token), a.now().Unix())
	if err != nil {
		return "", a.fail("make a link", err)
	}
	return token, a.fail("make a link", tx.Commit())
}

// KeepOnly ends the links and sessions of trainees who are not among the names.
func (a *Accounts) KeepOnly(ctx context.Context, names []string) error {
	kept, err := json.Marshal(names)
	if err != nil {
		return err
	}
	tx, err := a.db.BeginTx(ctx, nil)
	if err != nil {
		return a.fail("end links", err)
	}
	defer tx.Rollback()
	for _, what := range []string{`DELETE FROM session WHERE role = 'trainee' AND who NOT IN (SELECT value FROM json_each(?))`,
		`DELETE FROM link WHERE trainee NOT IN (SELECT value FROM json_each(?))`} {
		if _, err := tx.ExecContext(ctx, what, string(kept)); err != nil {
			return a.fail("end links", err)
		}
	}
	return a.fail("end links", tx.Commit())
}

// Linked tells which trainees have a link.
func (a *Accounts) Linked(ctx context.Context) (map[string]bool, error) {
	rows, err := a.db.QueryContext(ctx, `SELECT trainee FROM link`)
	if err != nil {
		return nil, a.fail("read the links", err)
	}
	defer rows.Close()
	out := map[string]bool{}
	for rows.Next() {
		var name string
		if err := rows.Scan(&name); err != nil {
			return nil, a.fail("read the links", err)
		}
		out[name] = true
	}
	return out, a.fail("read the links", rows.Err())
}

// LinkLong is how long a link opens: a course of half a year. Our setting.
const LinkLong = 183 * 24 * time.Hour

// LinkOf tells whose link a secret is, or gives ErrWrong.
func (a *Accounts) LinkOf(ctx context.Context, token string) (trainee string, err error) {
	err = a.db.QueryRowContext(ctx, `SELECT trainee FROM link WHERE hash = ? AND created_at > ?`, digest(token), a.now().Add(-LinkLong).Unix()).Scan(&trainee)
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
	tx, err := a.db.BeginTx(ctx, nil)
	if err != nil {
		return "", a.fail("make a class code", err)
	}
	defer tx.Rollback()
	_, err = tx.ExecContext(ctx, `INSERT INTO class_code VALUES (1, ?1) ON CONFLICT DO UPDATE SET code = ?1`, code)
	if err == nil {
		_, err = tx.ExecContext(ctx, `DELETE FROM session WHERE limited = 1`)
	}
	if err != nil {
		return "", a.fail("make a class code", err)
	}
	return code, a.fail("make a class code", tx.Commit())
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
	a.joining.Lock()
	defer a.joining.Unlock()
	var others int
	err := a.db.QueryRowContext(ctx, `SELECT count(*) FROM session WHERE role = 'trainee' AND who = ? AND expires_at > ? AND hash <> ?`,
		trainee, a.now().Unix(), append([]byte{}, now.hash...)).Scan(&others)
	switch {
	case err != nil:
		return Session{}, "", a.fail("look for who has the name", err)
	case others > 0:
		return Session{}, "", ErrTaken
	}
	return a.begin(ctx, Session{Role: Trainee, Who: trainee, Limited: true}, nil)
}

// Taken lists the names that phones have taken.
func (a *Accounts) Taken(ctx context.Context) ([]string, error) {
	var names string
	err := a.db.QueryRowContext(ctx, `SELECT json_group_array(who) FROM (SELECT DISTINCT who FROM session WHERE role = 'trainee' AND expires_at > ? ORDER BY who)`, a.now().Unix()).Scan(&names)
	if err != nil {
		return nil, a.fail("read who has which name", err)
	}
	var out []string
	return out, json.Unmarshal([]byte(names), &out)
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
