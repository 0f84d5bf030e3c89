package intake

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"netagauge/internal/core/phrase"
	"netagauge/internal/judge/ticket"
)

// Next takes a shot that waits and says that it is being measured; found is false
// when none waits. Owners take turns, each with the photo that has waited longest.
// Settle, Fail or PutBack ends it.
func (f *Folder) Next(ctx context.Context) (s Shot, found bool, err error) {
	err = f.db.In(ctx, func(tx *sql.Tx) error {
		if s, err = f.next(ctx, tx); err != nil {
			return err
		}
		s.State = Measuring
		_, err = tx.ExecContext(ctx, `UPDATE shot SET state = 'measuring' WHERE number = $1`, s.Number)
		return err
	})
	if errors.Is(err, ErrUnknown) {
		return Shot{}, false, nil
	}
	if err != nil {
		return Shot{}, false, f.fail("take the next photo", err)
	}
	f.turns.took(s.Owner)
	f.tell()
	return s, true, nil
}

// Fail says that a shot could not be measured, and why: one of the codes and,
// where that does not say it all, more. A shot with a second photo is then measured again
// without it, whatever of the two it was, but for what was entered. What was entered and
// does not fit leaves a result from before as it was.
func (f *Folder) Fail(ctx context.Context, s Shot, code string, why phrase.Text) error {
	if s.Second.Counts() && code != CodeEntered {
		return f.dropSecond(ctx, s)
	}
	if code == CodeEntered && s.Result != 0 {
		return f.asBefore(ctx, s, why)
	}
	s.State, s.Code, s.Why, s.Result = Failed, code, why, 0
	if err := f.end(ctx, s); err != nil {
		return err
	}
	return f.withdraw(ctx, s) // what a result before the second photo left there
}

// asBefore ends a shot with the result it had, and the ticket that was measured by.
func (f *Folder) asBefore(ctx context.Context, s Shot, why phrase.Text) error {
	told, err := f.book.TicketOfResult(ctx, s.Result)
	if err != nil {
		return err
	}
	text, err := json.Marshal(told)
	if err != nil {
		return err
	}
	if _, err := f.db.ExecContext(ctx, `UPDATE shot SET ticket = $1 WHERE number = $2 AND turn = $3`, string(text), s.Number, s.Turn); err != nil {
		return f.fail("keep how a photo ended", err)
	}
	s.State, s.Code, s.Why = Measured, CodeEntered, why
	return f.end(ctx, s)
}

// PutBack lets a shot that was taken wait again.
func (f *Folder) PutBack(ctx context.Context, s Shot) error {
	s.State = Waiting
	return f.end(ctx, s)
}

// end writes how a shot ended, and tells.
func (f *Folder) end(ctx context.Context, s Shot) error {
	err := f.ended(ctx, s)
	if err == nil {
		f.tell()
	}
	return err
}

// ended writes how a shot ended, unless it was asked for anew in the meantime.
func (f *Folder) ended(ctx context.Context, s Shot) error {
	err := f.db.Set(ctx, `UPDATE shot SET state = $1, code = $2, why = $3, result = $4 WHERE number = $5 AND turn = $6`,
		s.State, s.Code, s.Why.Kept(), s.Result, s.Number, s.Turn)
	return f.fail("keep how a photo ended", err)
}

// Again asks for a shot to be measured anew with another ticket, such as a
// corrected thickness. Its result counts until the next one takes its place.
func (f *Folder) Again(ctx context.Context, id string, t ticket.Ticket) (Shot, error) {
	if err := t.Check(); err != nil {
		return Shot{}, err
	}
	text, err := json.Marshal(t)
	if err != nil {
		return Shot{}, err
	}
	var s Shot
	err = f.db.In(ctx, func(tx *sql.Tx) error {
		if s, err = f.one(ctx, tx, `WHERE id = $1`, id); err != nil {
			return err
		}
		s.Ticket = t
		if _, err := tx.ExecContext(ctx, `UPDATE shot SET ticket = $1 WHERE number = $2`, string(text), s.Number); err != nil {
			return err
		}
		return f.requeue(ctx, tx, &s, s.Result)
	})
	if err != nil {
		return Shot{}, f.fail("measure a photo anew", err)
	}
	f.tell()
	return s, nil
}

// Renewal is how many photos of a class that have a result are up to date, and how many
// there are: the others are being measured anew and count as they were.
type Renewal struct{ Done, Of int }

// Going reports whether photos are being measured anew.
func (r Renewal) Going() bool { return r.Done < r.Of }

// Renewal looks at a class.
func (f *Folder) Renewal(ctx context.Context, class string) (r Renewal, err error) {
	err = f.db.QueryRowContext(ctx, `SELECT count(*) FILTER (WHERE state NOT IN ('waiting', 'measuring')), count(*) FROM shot
		WHERE kind = 'class' AND session = $1 AND result <> 0`, class).Scan(&r.Done, &r.Of)
	return r, f.fail("count the photos", err)
}

// withdraw takes a shot without a result out of its class's run. A line's spot
// check stays until the next result of the photo takes its place.
func (f *Folder) withdraw(ctx context.Context, s Shot) error {
	if s.Kind != Class {
		return nil
	}
	return f.alone(ctx, func(ctx context.Context) error { return f.enterCopies(ctx, []Shot{s}) })
}
