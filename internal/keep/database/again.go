package database

import (
	"context"
	"database/sql"
	"database/sql/driver"
	"errors"
	"io"
	"math/rand/v2"
	"net"
	"time"

	"github.com/jackc/pgx/v5/pgconn"
)

// tries bounds how often a transaction that got in another's way is run again.
const tries = 40

// pauses between them grow from the first to the last.
const firstPause, lastPause = 2 * time.Millisecond, 250 * time.Millisecond

// again runs f until it works, or fails in a way that another time would, too.
func (s *Server) again(ctx context.Context, f func(context.Context) error) error {
	until := time.Now().Add(s.Patience)
	pause := firstPause
	for n := 1; ; n++ {
		err := f(ctx)
		switch {
		case err == nil || ctx.Err() != nil || errors.Is(err, ErrUnsure):
			return err
		case collided(err) && n < tries:
		case lost(err) && time.Now().Before(until):
		default:
			return err
		}
		select { // at random, so that two do not meet again
		case <-time.After(pause/2 + rand.N(pause)):
		case <-ctx.Done():
			return ctx.Err()
		}
		pause = min(2*pause, lastPause)
	}
}

// collided reports that transactions got in each other's way and this one made room:
// nothing of it was kept.
func collided(err error) bool { return is(err, "40001", "40P01") }

// lost reports that there is no server, or no connection to it any more.
func lost(err error) bool {
	var said *pgconn.PgError
	if errors.As(err, &said) {
		return is(err, "08", "57P01", "57P02", "57P03", "53300")
	}
	var connect *pgconn.ConnectError
	var dial *net.OpError
	return errors.As(err, &connect) || errors.As(err, &dial) || errors.Is(err, driver.ErrBadConn) || errors.Is(err, sql.ErrConnDone) ||
		errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) || errors.Is(err, net.ErrClosed) || pgconn.SafeToRetry(err)
}

// transaction runs f in a serializable transaction of a connection or pool. When the
// connection breaks while it is being committed, nobody here knows whether it was.
func transaction(ctx context.Context, on interface {
	BeginTx(context.Context, *sql.TxOptions) (*sql.Tx, error)
}, f func(*sql.Tx) error) error {
	tx, err := on.BeginTx(ctx, &sql.TxOptions{Isolation: sql.LevelSerializable})
	if err != nil {
		return err
	}
	defer tx.Rollback() // does nothing once committed
	if err := f(tx); err != nil {
		return err
	}
	if err := tx.Commit(); err != nil {
		if collided(err) || !lost(err) && ctx.Err() == nil {
			return err
		}
		return ErrUnsure.For(err)
	}
	return nil
}
