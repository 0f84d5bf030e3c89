// Package book is the record book: one SQLite file that keeps every result of
// a class or a line, so that a stopped run goes on where it stopped and
// progress over weeks can be shown. migrations/*.sql documents the tables and
// their units. It adds and corrects, and never deletes; it measures and grades
// nothing.
package book

import (
	"context"
	"database/sql"
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"strings"
	"time"

	"github.com/mattn/go-sqlite3"

	"netagauge/internal/core/phrase"
	"netagauge/internal/keep/sqlite"
)

//go:embed migrations/*.sql
var migrations embed.FS

// Schema describes every table, as the SQL that made them, with comments.
func Schema() (string, error) {
	names, err := fs.Glob(migrations, "migrations/*.sql")
	if err != nil {
		return "", err
	}
	var out strings.Builder
	for _, name := range names {
		text, err := migrations.ReadFile(name)
		if err != nil {
			return "", err
		}
		out.Write(text)
	}
	return out.String(), nil
}

// Book is an open record book. Its methods may be called from several
// goroutines, and several processes may have one file open.
type Book struct {
	db   *sql.DB // one connection, so that writers take turns here rather than in SQLite
	look *sql.DB // readers, who wait for nobody
	path string  // for errors
}

// readers is how many look into a book at once.
const readers = 4

// Open opens the book at path, creates it when there is none and brings an
// older one up to date.
func Open(ctx context.Context, path string) (*Book, error) {
	db, err := sqlite.Open(path)
	if err != nil {
		return nil, phrase.Because(err, "in-book", path)
	}
	b, err := begin(ctx, db, path)
	if err != nil {
		return nil, err
	}
	if b.look, err = sqlite.Connect(path, sqlite.Look); err != nil {
		db.Close()
		return nil, phrase.Because(err, "in-book", path)
	}
	b.look.SetMaxOpenConns(readers)
	b.look.SetMaxIdleConns(readers)
	return b, nil
}

// Temporary opens a book in memory that is gone when it is closed.
func Temporary(ctx context.Context) (*Book, error) {
	db, err := sqlite.Connect(":memory:", "_foreign_keys=on")
	if err != nil {
		return nil, err
	}
	return begin(ctx, db, "(in memory)")
}

func begin(ctx context.Context, db *sql.DB, path string) (*Book, error) {
	db.SetMaxOpenConns(1)
	if err := sqlite.Migrate(ctx, db, migrations, ticketStep(2)); err != nil {
		db.Close()
		return nil, phrase.Because(plain(err), "in-book", path)
	}
	return &Book{db: db, look: db, path: path}, nil
}

// Close closes the book.
func (b *Book) Close() error {
	if b.look == b.db {
		return b.db.Close()
	}
	return errors.Join(b.look.Close(), b.db.Close())
}

// plain turns SQLite's words into what a person can act on who named the file.
func plain(err error) error {
	var lite sqlite3.Error
	if errors.As(err, &lite) {
		switch lite.Code {
		case sqlite3.ErrNotADB:
			return phrase.Wrong("book-none").For(err)
		case sqlite3.ErrCantOpen:
			return phrase.Wrong("book-cannot-open").For(err)
		}
	}
	return sqlite.Plain(err)
}

func (b *Book) fail(what string, err error) error {
	if err == nil || errors.Is(err, context.Canceled) || errors.Is(err, os.ErrDeadlineExceeded) {
		return err
	}
	return fmt.Errorf("%s, %s: %w", b.path, what, plain(err))
}

// in runs f in one transaction: all of it is kept or nothing.
func (b *Book) in(ctx context.Context, f func(*sql.Tx) error) error {
	tx, err := b.db.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	defer tx.Rollback() // does nothing once committed
	if err := f(tx); err != nil {
		return err
	}
	return tx.Commit()
}

func now() string { return time.Now().UTC().Format(time.RFC3339) }
