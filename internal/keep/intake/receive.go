package intake

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"io"
	"syscall"
	"time"

	"netagauge/internal/core/phrase"
	"netagauge/internal/keep/database"
)

// Receive takes in one photo. When it returns without an error the photo is on
// the disk, in the list, and will be measured: only then may the sender be told
// "received". The same photo sent again by the same owner for the same thing is
// the shot that is there already, so a phone that lost the answer may send again.
//
// The errors are those of this package: ErrBusy, ErrFull, ErrTooLarge,
// ErrNotAPhoto, ErrCutShort, ErrNoSession, or what is wrong with s.Ticket.
func (f *Folder) Receive(ctx context.Context, s Shot, r io.Reader) (Shot, error) {
	if err := f.checkSent(ctx, s); err != nil {
		return Shot{}, err
	}
	return f.take(ctx, s.Owner, r, func(ctx context.Context, a *arrival) (Shot, error) {
		s.ID, s.Format, s.Bytes, s.Hash = newID(), a.format, a.Bytes, a.SHA256
		s.State, s.Turn, s.Code, s.Why, s.Result = Waiting, 0, "", nil, 0
		return f.file(ctx, s, a)
	})
}

// take lets an owner's photo arrive and then has it kept, whether or not the sender
// is still there.
func (f *Folder) take(ctx context.Context, owner string, r io.Reader, keep func(context.Context, *arrival) (Shot, error)) (Shot, error) {
	if err := f.reserve(ctx, owner); err != nil {
		return Shot{}, err
	}
	defer f.release(owner)
	a, err := f.arrive(r)
	if err != nil {
		return Shot{}, database.Plain(err)
	}
	defer a.discard()
	s, err := keep(context.WithoutCancel(ctx), a)
	if err != nil {
		return Shot{}, database.Plain(err)
	}
	if f.Taken != nil {
		f.Taken(a.Bytes)
	}
	f.tell()
	return s, nil
}

func (f *Folder) checkSent(ctx context.Context, s Shot) error {
	if s.Owner == "" {
		return phrase.Wrong("intake-no-owner")
	}
	if _, err := f.Session(ctx, s.Kind, s.Session); err != nil {
		return err
	}
	return s.Ticket.Check()
}

// reserve keeps a place for an owner's photo that is about to arrive.
func (f *Folder) reserve(ctx context.Context, owner string) error {
	var disk syscall.Statfs_t
	if err := syscall.Statfs(f.dir, &disk); err == nil && int64(disk.Bavail)*disk.Bsize < f.Limits.Free {
		return ErrFull
	}
	f.room.Lock()
	defer f.room.Unlock()
	var all, own int
	err := f.db.QueryRowContext(ctx, `SELECT (SELECT count(*) FROM (SELECT number FROM shot WHERE state IN ('waiting', 'measuring') LIMIT $1) AS open),
		(SELECT count(*) FROM (SELECT number FROM shot WHERE owner = $2 AND state IN ('waiting', 'measuring') LIMIT $3) AS open)`,
		f.Limits.Waiting, owner, f.Limits.Each).Scan(&all, &own) // however many do
	if err != nil {
		return f.fail("count the photos", err)
	}
	for _, n := range f.coming {
		all += n
	}
	if all >= f.Limits.Waiting || own+f.coming[owner] >= f.Limits.Each {
		return ErrBusy
	}
	f.coming[owner]++
	return nil
}

func (f *Folder) release(owner string) {
	f.room.Lock()
	defer f.room.Unlock()
	if f.coming[owner]--; f.coming[owner] == 0 {
		delete(f.coming, owner)
	}
}

// file puts an arrived photo in its place and then in the list. The order
// matters: a row in the list always has its photo.
func (f *Folder) file(ctx context.Context, s Shot, a *arrival) (Shot, error) {
	if err := f.photos.Put(ctx, s.file(), a.Arrived); err != nil {
		return Shot{}, err
	}
	kept, err := f.enlist(ctx, s)
	if f.isUntold(err, kept.ID == s.ID) {
		f.untold(ctx, s.file())
	}
	return kept, err
}

// isUntold reports whether nobody will be told of a photo that was put in its place: not
// when it may be in the list although the answer of another computer was lost.
func (f *Folder) isUntold(err error, listed bool) bool {
	return err == nil && !listed || err != nil && (f.peers == nil || errors.Is(err, ErrBusy))
}

// untold removes a photo that nobody was told of. Where that does not go well it is
// put aside one day, as one whose server was stopped just here.
func (f *Folder) untold(ctx context.Context, name string) { _ = f.photos.Delete(ctx, name) }

// enlist adds the shot to the list, or finds the one that is there already. One
// that failed is no reason not to try again.
func (f *Folder) enlist(ctx context.Context, s Shot) (Shot, error) {
	ticket, err := json.Marshal(s.Ticket)
	if err != nil {
		return Shot{}, err
	}
	new := s
	new.Received = time.Now().UTC()
	err = f.db.InTwice(ctx, func(tx *sql.Tx) error {
		if err := leaving(ctx, tx, new.Owner); err != nil {
			return err
		}
		there, err := f.one(ctx, tx, `WHERE owner = $1 AND kind = $2 AND session = $3 AND hash = $4 AND ticket = $5 AND state <> 'failed'`,
			new.Owner, new.Kind, new.Session, new.Hash, string(ticket))
		if err == nil {
			s = there
			return nil
		}
		if !errors.Is(err, ErrUnknown) {
			return err
		}
		s = new
		err = tx.QueryRowContext(ctx, `INSERT INTO shot (id, owner, who, kind, session, place, ticket, name, format, bytes, hash, received, state)
			VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, 'waiting') RETURNING number`,
			s.ID, s.Owner, s.Who, s.Kind, s.Session, s.Place, string(ticket), s.Name, s.Format, s.Bytes, s.Hash, s.Received.Format(time.RFC3339Nano)).Scan(&s.Number)
		if err != nil {
			return err
		}
		behind, err := f.enqueue(ctx, tx, s)
		if err == nil && behind >= f.Limits.Each {
			return ErrBusy // by what came to other servers meanwhile
		}
		return err
	})
	return s, err
}
