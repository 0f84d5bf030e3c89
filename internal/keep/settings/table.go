package settings

import (
	"context"
	"database/sql"
	"embed"
	"errors"
	"io/fs"
	"time"

	"netagauge/internal/core/phrase"
	"netagauge/internal/keep/database"
)

//go:embed migrations
var migrations embed.FS

// Table keeps texts in a record that several computers share.
type Table struct{ db *database.DB }

// moving is the text that is in a record while another one is moved into it: of which.
const moving = "moving"

// ErrMoving is a record that was not moved to its end.
var ErrMoving = phrase.Wrong("settings-moving")

// OpenAt opens the texts of a shared record. One that is being moved into is not opened.
func OpenAt(ctx context.Context, at database.Place) (*Table, error) {
	t, err := OpenUnfinished(ctx, at)
	if err != nil {
		return nil, err
	}
	if from, err := t.Moving(ctx); err != nil || from != "" {
		t.Close()
		if err == nil {
			err = ErrMoving
		}
		return nil, err
	}
	return t, nil
}

// OpenUnfinished is OpenAt also while a record is moved into it.
func OpenUnfinished(ctx context.Context, at database.Place) (*Table, error) {
	db, err := database.Open(ctx, at, database.Part{Name: "settings", Migrations: migrations})
	if err != nil {
		return nil, database.Plain(err)
	}
	return &Table{db}, nil
}

// Close closes them.
func (t *Table) Close() error { return t.db.Close() }

// Moving says which record is being moved into this one, "" for none.
func (t *Table) Moving(ctx context.Context) (string, error) {
	from, err := t.read(ctx, moving)
	if errors.Is(err, fs.ErrNotExist) {
		return "", nil
	}
	return from, err
}

// BeginMoving says that a record is being moved into this one; EndMoving that it is whole.
func (t *Table) BeginMoving(ctx context.Context, from string) error {
	return t.keep(ctx, moving, from)
}

// EndMoving lets the record be opened.
func (t *Table) EndMoving(ctx context.Context) error {
	_, err := t.db.ExecContext(ctx, `DELETE FROM setting WHERE name = $1`, moving)
	return database.Plain(err)
}

// Read reads a row.
func (t *Table) Read(ctx context.Context, name string) (string, error) {
	if err := known(name); err != nil {
		return "", err
	}
	return t.read(ctx, name)
}

func (t *Table) read(ctx context.Context, name string) (text string, err error) {
	err = t.db.QueryRowContext(ctx, `SELECT content FROM setting WHERE name = $1`, name).Scan(&text)
	if errors.Is(err, sql.ErrNoRows) {
		return "", &fs.PathError{Op: "setting", Path: name, Err: fs.ErrNotExist}
	}
	return text, database.Plain(err)
}

// Keep writes a row.
func (t *Table) Keep(ctx context.Context, name, text string) error {
	if err := known(name); err != nil {
		return err
	}
	return t.keep(ctx, name, text)
}

func (t *Table) keep(ctx context.Context, name, text string) error {
	return database.Plain(t.db.InTwice(ctx, func(tx *sql.Tx) error { return put(ctx, tx, name, text) }))
}

func put(ctx context.Context, tx *sql.Tx, name, text string) error {
	_, err := tx.ExecContext(ctx, `INSERT INTO setting (name, content, kept_at) VALUES ($1, $2, $3)
		ON CONFLICT (name) DO UPDATE SET content = excluded.content, kept_at = excluded.kept_at`, name, text, now())
	return err
}

// Replace writes a row that is as it was, in one transaction.
func (t *Table) Replace(ctx context.Context, name, before, text string, with ...Named) (done bool, err error) {
	if err := known(name, with...); err != nil {
		return false, err
	}
	err = t.db.In(ctx, func(tx *sql.Tx) error {
		query := `UPDATE setting SET content = $1, kept_at = $2 WHERE name = $3 AND content = $4`
		args := []any{text, now(), name, before}
		if before == "" {
			query = `INSERT INTO setting (content, kept_at, name) VALUES ($1, $2, $3)
				ON CONFLICT (name) DO UPDATE SET content = excluded.content, kept_at = excluded.kept_at WHERE setting.content = ''`
			args = args[:3]
		}
		changed, err := tx.ExecContext(ctx, query, args...)
		if err != nil {
			return err
		}
		n, err := changed.RowsAffected()
		if done = n == 1; err != nil || !done {
			return err
		}
		for _, x := range with {
			if err := put(ctx, tx, x.Name, x.Text); err != nil {
				return err
			}
		}
		return nil
	})
	return done, database.Plain(err)
}

func now() string { return time.Now().UTC().Format(time.RFC3339) }
