// Package book is the record book: one SQLite file that keeps every result of
// a class or a line, so that a stopped run goes on where it stopped and
// progress over weeks can be shown. migrations/*.sql documents the tables and
// their units. It adds and corrects, and deletes only what is a person's who is to be
// forgotten (Remove); it measures and grades nothing.
package book

import (
	"context"
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"strings"
	"sync"
	"time"

	"github.com/mattn/go-sqlite3"
	"github.com/pressly/goose/v3"

	"netagauge/internal/core/phrase"
	"netagauge/internal/keep/database"
)

//go:embed migrations
var migrations embed.FS

// Schema describes every table, as the SQL that made them, with comments.
func Schema() (string, error) {
	names, err := fs.Glob(migrations, "migrations/sqlite/*.sql")
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
	db      *database.DB
	path    string   // for errors
	tickets sync.Map // hashes of those that are known to be kept
}

// readers is how many look into a book at once.
const readers = 4

// Open opens the book at path, creates it when there is none and brings an
// older one up to date.
func Open(ctx context.Context, path string) (*Book, error) {
	return OpenAt(ctx, database.File(path))
}

// OpenAt is Open for any place.
func OpenAt(ctx context.Context, at database.Place) (*Book, error) {
	db, err := database.Open(ctx, at, database.Part{Name: "book", Migrations: migrations, Steps: []*goose.Migration{ticketStep(2)}, Readers: readers})
	if err != nil {
		return nil, phrase.Because(plain(err), "in-book", at.String())
	}
	return &Book{db: db, path: at.String()}, nil
}

// Temporary opens a book in memory that is gone when it is closed.
func Temporary(ctx context.Context) (*Book, error) {
	return OpenAt(ctx, database.File(":memory:"))
}

// Close closes the book.
func (b *Book) Close() error { return b.db.Close() }

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
	return database.Plain(err)
}

func (b *Book) fail(what string, err error) error {
	if err == nil || errors.Is(err, context.Canceled) || errors.Is(err, os.ErrDeadlineExceeded) {
		return err
	}
	return fmt.Errorf("%s, %s: %w", b.path, what, plain(err))
}

// Scrub takes from the disk what was deleted.
func (b *Book) Scrub(ctx context.Context) error { return b.fail("clear the file", b.db.Scrub(ctx)) }

func now() string { return time.Now().UTC().Format(time.RFC3339) }
