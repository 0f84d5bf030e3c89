// Package database keeps the tables of a record, in a SQLite file: it opens it, brings
// its tables up to date, runs what belongs together as one transaction, and says what
// went wrong in words that a person can act on. It knows no table: each package that
// keeps one brings its own migrations.
//
// The SQL that comes here is written once for every engine: placeholders $1, $2 … in
// the order of their first appearance, RETURNING in place of a driver's last ID, ON
// CONFLICT with its columns, IS DISTINCT FROM, conditions that are true or false,
// times as text in UTC, 0 and 1, JSON that SQL does not look into. Portable states it.
package database

import (
	"context"
	"database/sql"
	"errors"
	"io/fs"

	"github.com/pressly/goose/v3"
)

// Place is where a record lies.
type Place struct {
	path string // of a SQLite file
}

// File is the SQLite file at path; one in memory for :memory:.
func File(path string) Place { return Place{path: path} }

// String names the place to a person.
func (p Place) String() string { return p.path }

// Part is what one package keeps at a place.
type Part struct {
	Migrations fs.FS              // its folders are migrations/ENGINE
	Steps      []*goose.Migration // migrations of SQLite that are written in Go
	Readers    int                // how many may look at once
}

// DB is the opened part of a record. Its methods may be called from several goroutines.
type DB struct {
	write *sql.DB // one connection, so that writers take turns here rather than in SQLite
	look  *sql.DB // readers, who wait for nobody
}

// Open opens a part of the record at a place, makes it where there is none and brings
// an older one up to date.
func Open(ctx context.Context, at Place, p Part) (*DB, error) {
	return openFile(ctx, at.path, p)
}

// Close closes it.
func (d *DB) Close() error {
	if d.look == d.write {
		return d.write.Close()
	}
	return errors.Join(d.look.Close(), d.write.Close())
}

// In runs f in one transaction: all of it is kept or nothing. f may be run more than
// once and must do the same each time.
func (d *DB) In(ctx context.Context, f func(*sql.Tx) error) error {
	tx, err := d.write.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	defer tx.Rollback() // does nothing once committed
	if err := f(tx); err != nil {
		return err
	}
	return tx.Commit()
}

// Snapshot lets f read everything as it is at one moment, while others write.
func (d *DB) Snapshot(ctx context.Context, f func(*sql.Tx) error) error {
	tx, err := d.look.BeginTx(ctx, nil)
	if err != nil {
		return Plain(err)
	}
	defer tx.Rollback()
	return f(tx)
}

// ExecContext runs a statement that writes, as a transaction of its own.
func (d *DB) ExecContext(ctx context.Context, query string, args ...any) (sql.Result, error) {
	return d.write.ExecContext(ctx, query, args...)
}

// Add runs a statement that writes one row and ends in RETURNING with its ID, as a
// transaction of its own, and gives the ID.
func (d *DB) Add(ctx context.Context, query string, args ...any) (id int64, err error) {
	err = d.In(ctx, func(tx *sql.Tx) error { return tx.QueryRowContext(ctx, query, args...).Scan(&id) })
	return id, err
}

// QueryContext reads rows.
func (d *DB) QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error) {
	return d.look.QueryContext(ctx, query, args...)
}

// QueryRowContext reads one row.
func (d *DB) QueryRowContext(ctx context.Context, query string, args ...any) *sql.Row {
	return d.look.QueryRowContext(ctx, query, args...)
}

// Querier is a DB or a transaction.
type Querier interface {
	QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error)
	QueryRowContext(ctx context.Context, query string, args ...any) *sql.Row
}
