package intake

import (
	"context"
	"database/sql"
	"io"
	"os"
	"time"
)

// Second is another photo of a shot's tray, taken from another place; the zero
// value is none.
type Second struct {
	ID      string
	Name    string // the file's own name: to be shown, never opened
	Format  string
	Bytes   int64
	Hash    string
	Useless bool // a later one is not used: the program stopped over it
}

// Counts reports whether the shot is measured with one.
func (s Second) Counts() bool { return s.Hash != "" }

func (s Second) file() string { return s.ID + "." + s.Format }

// AddSecond takes in a second photo of a shot's tray and asks for the shot to be
// measured anew with both; until then the result of the first stays. When it returns without an error the photo is on the
// disk and in the list. The same photo sent again changes nothing; another one
// takes the place of the one before.
//
// Errors are those of Receive, ErrUnknown, and ErrSamePhoto for the first photo.
func (f *Folder) AddSecond(ctx context.Context, id, name string, r io.Reader) (Shot, error) {
	first, err := f.Shot(ctx, id)
	if err != nil {
		return Shot{}, err
	}
	return f.take(ctx, first.Owner, r, func(ctx context.Context, a *arrival) (Shot, error) {
		if a.SHA256 == first.Hash {
			return Shot{}, ErrSamePhoto
		}
		return f.fileSecond(ctx, first, Second{ID: newID(), Name: name, Format: a.format, Bytes: a.Bytes, Hash: a.SHA256}, a)
	})
}

// fileSecond puts an arrived photo in its place and then in the list, as file
// does.
func (f *Folder) fileSecond(ctx context.Context, first Shot, b Second, a *arrival) (Shot, error) {
	if err := f.photos.Put(ctx, b.file(), a.Arrived); err != nil {
		return Shot{}, err
	}
	s, err := f.enlistSecond(ctx, first.ID, b)
	if f.isUntold(err, s.Second.ID == b.ID) {
		f.untold(ctx, b.file())
	}
	return s, err
}

// maxSeconds is how many second photos a tray may have had. Our setting.
const maxSeconds = 5

func (f *Folder) enlistSecond(ctx context.Context, id string, b Second) (s Shot, err error) {
	err = f.db.InTwice(ctx, func(tx *sql.Tx) error {
		if s, err = f.one(ctx, tx, `WHERE id = $1`, id); err != nil {
			return err
		}
		if err := leaving(ctx, tx, s.Owner); err != nil {
			return err
		}
		if s.Second.Counts() && s.Second.Hash == b.Hash {
			return nil // sent again
		}
		var before int
		if err := tx.QueryRowContext(ctx, `SELECT count(*) FROM second WHERE shot = $1`, s.Number).Scan(&before); err != nil {
			return err
		}
		if before >= maxSeconds {
			return ErrManySeconds
		}
		_, err := tx.ExecContext(ctx, `INSERT INTO second (id, shot, name, format, bytes, hash, received) VALUES ($1, $2, $3, $4, $5, $6, $7)`,
			b.ID, s.Number, b.Name, b.Format, b.Bytes, b.Hash, time.Now().UTC().Format(time.RFC3339Nano))
		if err != nil {
			return err
		}
		s.Second = b
		return f.requeue(ctx, tx, &s, s.Result)
	})
	return s, err
}

// requeue lets a shot wait again, whatever is being done to it now. Until then the
// result given counts, 0 for none.
func (f *Folder) requeue(ctx context.Context, tx *sql.Tx, s *Shot, until int64) error {
	if !s.Dropped.IsZero() {
		return &DroppedError{s.Dropped}
	}
	s.State, s.Code, s.Why, s.Result = Waiting, "", nil, until
	s.Turn++
	_, err := tx.ExecContext(ctx, `UPDATE shot SET state = 'waiting', turn = $1, code = '', why = '', result = $2 WHERE number = $3`, s.Turn, until, s.Number)
	if err != nil {
		return err
	}
	_, err = f.enqueue(ctx, tx, *s)
	return err
}

// dropSecond measures a shot again without its second photo, over which the program
// stopped, or with the one before, unless it was asked for anew in the meantime.
func (f *Folder) dropSecond(ctx context.Context, s Shot) error {
	err := f.db.In(ctx, func(tx *sql.Tx) error {
		now, err := f.one(ctx, tx, `WHERE number = $1`, s.Number)
		if err != nil || now.Turn != s.Turn {
			return err
		}
		if _, err := tx.ExecContext(ctx, `UPDATE second SET useless = 1 WHERE id = $1`, s.Second.ID); err != nil {
			return err
		}
		return f.requeue(ctx, tx, &now, now.Result)
	})
	if err != nil {
		return f.fail("measure a photo without its second one", err)
	}
	f.tell()
	return nil
}

// OpenSecond is OpenPhoto for the second photo.
func (f *Folder) OpenSecond(ctx context.Context, s Shot) (*os.File, error) {
	return f.photos.Open(ctx, s.Second.file())
}
