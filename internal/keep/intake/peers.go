package intake

import (
	"context"
	"database/sql"
	"errors"

	"netagauge/internal/keep/notify"
	"netagauge/internal/keep/queue"
)

// Peers are the other processes that share a site's list: shots are taken from a queue
// that all work off, and each hears of what the others change.
type Peers struct {
	Site  string
	Queue *queue.Queue
	News  *notify.News
}

// enqueue lets a shot that waits be taken by any process, once tx is kept. It says behind
// how many others of its owner.
func (f *Folder) enqueue(ctx context.Context, tx *sql.Tx, s Shot) (behind int, err error) {
	if f.peers == nil || f.peers.Queue == nil {
		return 0, nil
	}
	err = tx.QueryRowContext(ctx, `SELECT count(*) FROM shot WHERE owner = $1 AND state IN ('waiting', 'measuring') AND number <> $2`, s.Owner, s.Number).Scan(&behind)
	if err != nil {
		return 0, err
	}
	return behind, f.peers.Queue.Put(ctx, tx, queue.Tray{Site: f.peers.Site, Number: s.Number, Turn: s.Turn}, behind)
}

// Take says that a shot is being measured, whoever may have it too, unless it is done or
// was asked for anew: found is false then.
func (f *Folder) Take(ctx context.Context, number int64, turn int) (s Shot, found bool, err error) {
	for s.State != Measuring {
		s, err = f.one(ctx, f.db, `WHERE number = $1 AND turn = $2 AND state IN ('waiting', 'measuring')`, number, turn)
		if errors.Is(err, ErrUnknown) {
			return Shot{}, false, nil
		}
		if err == nil && s.State == Waiting {
			err = f.db.SetOne(ctx, &s.State, `UPDATE shot SET state = 'measuring' WHERE number = $1 AND turn = $2 AND state = 'waiting' RETURNING state`, number, turn)
		}
		if err != nil && !errors.Is(err, sql.ErrNoRows) { // it changed in between: look again
			return Shot{}, false, f.fail("take a photo", err)
		}
	}
	f.tell()
	return s, true, nil
}

// tell lets whoever watches know that something changed, here and elsewhere.
func (f *Folder) tell() {
	f.changes.Tell()
	f.TellOthers()
}

// TellOthers lets other processes know that something changed, which may be in the book or
// the settings alone.
func (f *Folder) TellOthers() {
	if f.peers != nil && f.peers.News != nil {
		f.peers.News.Tell(f.peers.Site)
	}
}

// Watch returns a channel that gets a value soon after any shot or session
// changed; several changes may come as one. It is closed when ctx is done.
func (f *Folder) Watch(ctx context.Context) <-chan struct{} { return f.changes.Watch(ctx) }

// alone does what nobody else may do to the results at the same time, in this process or
// another: which photo of several alike counts is seen in the list and entered in the
// book. In PostgreSQL list and book are one transaction then.
func (f *Folder) alone(ctx context.Context, do func(context.Context) error) error {
	return f.db.InTurn(ctx, "results", do)
}

// EnqueueAll lets every shot that waits be taken: after all of them came from elsewhere.
func (f *Folder) EnqueueAll(ctx context.Context) error {
	waiting, err := f.List(ctx, Filter{States: []State{Waiting, Measuring}})
	if err != nil {
		return err
	}
	for _, s := range waiting {
		err := f.db.In(ctx, func(tx *sql.Tx) error {
			_, err := f.enqueue(ctx, tx, s)
			return err
		})
		if err != nil {
			return f.fail("let a photo wait", err)
		}
	}
	return nil
}
