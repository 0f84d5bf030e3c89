package account

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"strings"
)

// NewLink makes a trainee's own link and returns its secret; an earlier link of
// theirs, and who came in with it, is out.
func (a *Accounts) NewLink(ctx context.Context, trainee string) (string, error) {
	if strings.TrimSpace(trainee) == "" {
		return "", errors.New("a link is a trainee's")
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

// RemoveLink puts a trainee's link, and who came in with it, out of use.
func (a *Accounts) RemoveLink(ctx context.Context, trainee string) error {
	tx, err := a.db.BeginTx(ctx, nil)
	if err != nil {
		return a.fail("remove the link", err)
	}
	defer tx.Rollback()
	for _, what := range []string{`DELETE FROM session WHERE role = 'trainee' AND who = ?`, `DELETE FROM link WHERE trainee = ?`} {
		if _, err := tx.ExecContext(ctx, what, trainee); err != nil {
			return a.fail("remove the link", err)
		}
	}
	return a.fail("remove the link", tx.Commit())
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

// Follow opens a session for a link's secret, or gives ErrWrong.
func (a *Accounts) Follow(ctx context.Context, token string) (Session, string, error) {
	var name string
	err := a.db.QueryRowContext(ctx, `SELECT trainee FROM link WHERE hash = ?`, digest(token)).Scan(&name)
	if errors.Is(err, sql.ErrNoRows) {
		return Session{}, "", ErrWrong
	}
	if err != nil {
		return Session{}, "", a.fail("look for the link", err)
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

// Join opens a limited session for a trainee by the class code, or gives
// ErrWrong.
func (a *Accounts) Join(ctx context.Context, code, trainee string) (Session, string, error) {
	if err := a.CheckClassCode(ctx, code); err != nil {
		return Session{}, "", err
	}
	return a.begin(ctx, Session{Role: Trainee, Who: trainee, Limited: true}, nil)
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
