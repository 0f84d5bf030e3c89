// Package database keeps the tables of a record, in a SQLite file or a schema of a
// PostgreSQL server: it opens them, brings them up to date, runs what belongs together as one transaction, and says what
// went wrong in words that a person can act on. It knows no table: each package that
// keeps one brings its own migrations.
//
// The SQL that comes here is written once for every engine: placeholders $1, $2 … in
// the order of their first appearance, RETURNING in place of a driver's last ID, ON
// CONFLICT with its columns, IS DISTINCT FROM, conditions that are true or false,
// times as text in UTC, 0 and 1, JSON that SQL does not look into. A test reads the source
// of all parts and states it. A statement's rows are read to their end before the next
// statement of a transaction: PostgreSQL's driver has one at a time.
package database

import (
	"context"
	"database/sql"
	"errors"
	"io/fs"
	"sync"

	"github.com/pressly/goose/v3"
)

// Place is where a record lies.
type Place struct {
	path   string  // of a SQLite file
	server *Server // else
	schema string
}

// File is the SQLite file at path; one in memory for :memory:.
func File(path string) Place { return Place{path: path} }

// String names the place to a person.
func (p Place) String() string {
	if p.server != nil {
		return p.schema
	}
	return p.path
}

// Shared reports whether other processes work at the place at the same time.
func (p Place) Shared() bool { return p.server != nil }

// Part is what one package keeps at a place.
type Part struct {
	Name       string
	Migrations fs.FS              // its folders are migrations/sqlite and migrations/postgres
	Steps      []*goose.Migration // migrations of SQLite that are written in Go
	Readers    int                // how many may look into a file at once; 0: who writes looks, too
}

// DB is the opened part of a record. Its methods may be called from several goroutines.
type DB struct {
	write *sql.DB // of a file one connection, so that writers take turns here rather than in SQLite
	look  *sql.DB // readers, who wait for nobody
	turn  sync.Mutex

	server *Server // nil for a file
	schema string
}

// Open opens a part of the record at a place, makes it where there is none and brings
// an older one up to date.
func Open(ctx context.Context, at Place, p Part) (*DB, error) {
	if at.server != nil {
		return openSchema(ctx, at, p)
	}
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
// once and must do the same each time. ErrUnsure says that the connection broke at a
// moment that leaves open whether it was kept.
func (d *DB) In(ctx context.Context, f func(*sql.Tx) error) error {
	if tx := d.own(ctx); tx != nil {
		return part(ctx, tx, f)
	}
	if d.server != nil {
		return d.server.again(ctx, func(ctx context.Context) error { return transaction(ctx, d.write, f) })
	}
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

// InTwice is In for what changes nothing when it was kept before: it leaves nothing open.
func (d *DB) InTwice(ctx context.Context, f func(*sql.Tx) error) error {
	if d.server == nil || d.own(ctx) != nil {
		return d.In(ctx, f)
	}
	return d.server.again(ctx, func(ctx context.Context) error { return known(transaction(ctx, d.write, f)) })
}

// Snapshot lets f read everything as it is at one moment, while others write.
func (d *DB) Snapshot(ctx context.Context, f func(*sql.Tx) error) error {
	var tx *sql.Tx
	err := d.reading(ctx, func(ctx context.Context) (err error) {
		tx, err = d.look.BeginTx(ctx, &sql.TxOptions{Isolation: d.asOfOneMoment(), ReadOnly: d.server != nil})
		return err
	})
	if err != nil {
		return Plain(err)
	}
	defer tx.Rollback()
	return f(tx)
}

// asOfOneMoment is how a transaction sees what others write meanwhile: not at all, which
// in SQLite is always so.
func (d *DB) asOfOneMoment() sql.IsolationLevel {
	if d.server != nil {
		return sql.LevelRepeatableRead
	}
	return sql.LevelDefault
}

// reading tries again what only reads when there is no connection.
func (d *DB) reading(ctx context.Context, f func(context.Context) error) error {
	if d.server == nil {
		return f(ctx)
	}
	return d.server.again(ctx, f)
}

// ExecContext runs a statement that writes, as a transaction of its own.
func (d *DB) ExecContext(ctx context.Context, query string, args ...any) (done sql.Result, err error) {
	if tx := d.own(ctx); tx != nil {
		return tx.ExecContext(ctx, query, args...)
	}
	if d.server == nil {
		return d.write.ExecContext(ctx, query, args...)
	}
	err = d.In(ctx, func(tx *sql.Tx) (err error) {
		done, err = tx.ExecContext(ctx, query, args...)
		return err
	})
	return done, err
}

// Add runs a statement that writes one row and ends in RETURNING with its ID, as a
// transaction of its own, and gives the ID.
func (d *DB) Add(ctx context.Context, query string, args ...any) (id int64, err error) {
	err = d.In(ctx, func(tx *sql.Tx) error { return tx.QueryRowContext(ctx, query, args...).Scan(&id) })
	return id, err
}

// QueryContext reads rows.
func (d *DB) QueryContext(ctx context.Context, query string, args ...any) (rows *sql.Rows, err error) {
	if tx := d.own(ctx); tx != nil {
		return tx.QueryContext(ctx, query, args...)
	}
	err = d.reading(ctx, func(ctx context.Context) (err error) {
		rows, err = d.look.QueryContext(ctx, query, args...)
		return err
	})
	return rows, err
}

// QueryRowContext reads one row.
func (d *DB) QueryRowContext(ctx context.Context, query string, args ...any) (row *sql.Row) {
	if tx := d.own(ctx); tx != nil {
		return tx.QueryRowContext(ctx, query, args...)
	}
	d.reading(ctx, func(ctx context.Context) error {
		row = d.look.QueryRowContext(ctx, query, args...)
		return row.Err() // which the row keeps for Scan
	})
	return row
}

// Querier is a DB or a transaction.
type Querier interface {
	QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error)
	QueryRowContext(ctx context.Context, query string, args ...any) *sql.Row
}
