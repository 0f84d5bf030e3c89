package database

import (
	"context"
	"database/sql"
	"errors"
)

// inTurn is the transaction that a context carries.
type inTurn struct {
	server *Server
	schema string
	tx     *sql.Tx
}

type turnKey struct{}

// own is the transaction of this place that a context carries, nil when there is none.
func (d *DB) own(ctx context.Context) *sql.Tx {
	if t, ok := ctx.Value(turnKey{}).(inTurn); ok && d.server != nil && t.server == d.server && t.schema == d.schema {
		return t.tx
	}
	return nil
}

// InTurn runs f while nobody else is in turn under that name. f works with the context
// that it is given, on this part and on others of the same place, and doing it again must
// change nothing.
//
// In SQLite one process has the place, so a mutex is enough; parts are files of their own,
// and what f did before it is stopped stays. In PostgreSQL all that f does is one
// serializable transaction, whichever parts it is about: all of it is kept or nothing. The
// lock makes those who would get in each other's way wait rather than be run again.
func (d *DB) InTurn(ctx context.Context, name string, f func(context.Context) error) error {
	d.turn.Lock() // one connection of a process waits, the others work
	defer d.turn.Unlock()
	if d.server == nil {
		return f(ctx)
	}
	once := func(ctx context.Context) error {
		return d.locked(ctx, name, func(ctx context.Context, conn *sql.Conn) error {
			return transaction(ctx, conn, func(tx *sql.Tx) error {
				return f(context.WithValue(ctx, turnKey{}, inTurn{d.server, d.schema, tx}))
			})
		})
	}
	return d.server.again(ctx, func(ctx context.Context) error { return known(once(ctx)) })
}

// known has what can be done twice done again when nobody knows whether it was kept.
func known(err error) error {
	if errors.Is(err, ErrUnsure) {
		return sql.ErrConnDone
	}
	return err
}

// part runs f as a part of a larger transaction: when it fails, what it did is undone.
func part(ctx context.Context, tx *sql.Tx, f func(*sql.Tx) error) error {
	if _, err := tx.ExecContext(ctx, `SAVEPOINT part`); err != nil {
		return err
	}
	if err := f(tx); err != nil {
		_, undo := tx.ExecContext(ctx, `ROLLBACK TO SAVEPOINT part`)
		return errors.Join(err, undo)
	}
	_, err := tx.ExecContext(ctx, `RELEASE SAVEPOINT part`)
	return err
}
