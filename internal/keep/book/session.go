package book

import (
	"context"
	"database/sql"
	"errors"
	"slices"
	"time"

	"netagauge/internal/core/phrase"
	"netagauge/internal/keep/database"
)

// Run is one way of checking one session.
type Run struct {
	ID, Session int64
	Name        string // the session's
	HeldOn      time.Time
	Finished    bool

	changes int64 // see Ungraded
}

// Begin opens the session of that name, or creates it as held on that day, and
// returns the run by that ticket; an earlier, unfinished one goes on.
func (b *Book) Begin(ctx context.Context, name string, heldOn time.Time, ticket, program string) (Run, error) {
	r := Run{Name: name}
	var day string
	err := b.db.QueryRowContext(ctx, `SELECT s.id, s.held_on, r.id, r.finished_at IS NOT NULL FROM session s JOIN run r ON r.session_id = s.id
		WHERE s.name = $1 AND r.ticket_hash = $2 AND r.program = $3`, name, ticket, program).Scan(&r.Session, &day, &r.ID, &r.Finished)
	if err == nil {
		r.HeldOn, err = time.Parse(time.DateOnly, day)
	}
	if !errors.Is(err, sql.ErrNoRows) {
		return r, b.fail("open the session", err)
	}
	err = b.db.In(ctx, func(tx *sql.Tx) error {
		if _, err := tx.ExecContext(ctx, `INSERT INTO session (name, held_on, created_at) VALUES ($1, $2, $3) ON CONFLICT (name) DO NOTHING`, name, heldOn.Format(time.DateOnly), now()); err != nil {
			return err
		}
		if err := tx.QueryRowContext(ctx, `SELECT id, held_on FROM session WHERE name = $1`, name).Scan(&r.Session, &day); err != nil {
			return err
		}
		var err error
		if r.HeldOn, err = time.Parse(time.DateOnly, day); err != nil {
			return err
		}
		if _, err := tx.ExecContext(ctx, `INSERT INTO run (session_id, ticket_hash, program, started_at) VALUES ($1, $2, $3, $4) ON CONFLICT (session_id, ticket_hash, program) DO NOTHING`, r.Session, ticket, program, now()); err != nil {
			return err
		}
		return tx.QueryRowContext(ctx, `SELECT id, finished_at IS NOT NULL FROM run WHERE session_id = $1 AND ticket_hash = $2 AND program = $3`, r.Session, ticket, program).Scan(&r.ID, &r.Finished)
	})
	return r, b.fail("open the session", err)
}

// Entry is one photo file of a run. Trainee is empty when it is not known
// whose it is; Note then says why. A note with a trainee says why the photo is
// not counted.
type Entry struct {
	ID, Result int64
	File       string // path inside the folder, with slashes
	Photo      string // its hash, or JoinHashes of a pair
	Label      string
	LabelFrom  string // mat, folder or file
	Trainee    string
	Note       phrase.Text
	Refused    bool   // the photo could not be measured
	Problem    string // first problem of the photo, empty when there is none
}

// traineeID finds or adds a trainee; no name gives no id.
func traineeID(ctx context.Context, tx *sql.Tx, name string) (any, error) {
	if name == "" {
		return nil, nil
	}
	if _, err := tx.ExecContext(ctx, `INSERT INTO trainee (name) VALUES ($1) ON CONFLICT (name) DO NOTHING`, name); err != nil {
		return nil, err
	}
	var id int64
	err := tx.QueryRowContext(ctx, `SELECT id FROM trainee WHERE name = $1`, name).Scan(&id)
	return id, err
}

// changed notes that what the grades of some runs rest on has changed.
func changed(ctx context.Context, tx *sql.Tx, which string, arg any) error {
	_, err := tx.ExecContext(ctx, `UPDATE run SET changes = changes + 1 WHERE `+which, arg)
	return err
}

// Finish enters the photos of a whole folder into a run and says that it is
// complete. Photos entered before, and no longer there, are kept but marked.
func (b *Book) Finish(ctx context.Context, run int64, there []Entry) error {
	err := b.db.In(ctx, func(tx *sql.Tx) error {
		if _, err := tx.ExecContext(ctx, `UPDATE entry SET present = 0 WHERE run_id = $1`, run); err != nil {
			return err
		}
		if err := b.enter(ctx, tx, run, there); err != nil {
			return err
		}
		_, err := tx.ExecContext(ctx, `UPDATE run SET finished_at = $1 WHERE id = $2`, now(), run)
		return err
	})
	return b.fail("finish the session", err)
}

// Enter enters photos into a finished run in place of what the files had there.
// A file without an entry is kept but marked, as Finish does.
func (b *Book) Enter(ctx context.Context, run int64, files []string, there []Entry) error {
	err := b.db.In(ctx, func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, `UPDATE entry SET present = 0 WHERE present = 1 AND run_id = $1 AND `+b.db.Among("file", "$2"), run, database.List(b.db, files))
		if err != nil {
			return err
		}
		return b.enter(ctx, tx, run, there)
	})
	return b.fail("enter photos into the session", err)
}

func (b *Book) enter(ctx context.Context, tx *sql.Tx, run int64, there []Entry) error {
	trainees, err := b.traineeIDs(ctx, tx, there)
	if err != nil {
		return err
	}
	for some := range slices.Chunk(there, database.AtOnce) {
		var values []any
		for _, e := range some {
			values = append(values, run, e.File, e.Result, e.Label, e.LabelFrom, trainees[e.Trainee], e.Note.Kept(), 1)
		}
		_, err := tx.ExecContext(ctx, `INSERT INTO entry (run_id, file, result_id, label, label_from, trainee_id, note, present) VALUES `+database.Rows(len(some), 8)+`
			ON CONFLICT (run_id, file, result_id) DO UPDATE SET label = excluded.label, label_from = excluded.label_from,
			trainee_id = excluded.trainee_id, note = excluded.note, present = 1`, values...)
		if err != nil {
			return err
		}
	}
	return changed(ctx, tx, `id = $1`, run)
}

// traineeIDs finds or adds the trainees of entries.
func (b *Book) traineeIDs(ctx context.Context, tx *sql.Tx, of []Entry) (map[string]any, error) {
	names := make([]string, len(of))
	for i, e := range of {
		names[i] = e.Trainee
	}
	out, err := database.Pairs[string, any](tx.QueryContext(ctx, `SELECT name, id FROM trainee WHERE `+b.db.Among("name", "$1"), database.List(b.db, names)))
	if err != nil {
		return nil, err
	}
	out[""] = nil
	for _, name := range names {
		if _, known := out[name]; known {
			continue
		}
		if out[name], err = traineeID(ctx, tx, name); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// Entries returns a run's photos that are still there, in the order of their
// names.
func (b *Book) Entries(ctx context.Context, run int64) ([]Entry, error) {
	out, err := database.Each(func(scan database.Row) (e Entry, err error) {
		var note string
		err = scan(&e.ID, &e.Result, &e.File, &e.Photo, &e.Label, &e.LabelFrom, &e.Trainee, &note, &e.Refused, &e.Problem)
		e.Note = phrase.ReadKept(note)
		return e, err
	})(b.db.QueryContext(ctx, `SELECT e.id, e.result_id, e.file, r.photo_hash, e.label, e.label_from, coalesce(t.name, ''), e.note, r.status = 'refused', r.problem
		FROM entry e JOIN result r ON r.id = e.result_id LEFT JOIN trainee t ON t.id = e.trainee_id
		WHERE e.run_id = $1 AND e.present = 1 ORDER BY e.file, e.id`, run))
	return out, b.fail("read a session", err)
}

// Again is a photo that counts in a class before, too.
type Again struct {
	File, Session string
	HeldOn        time.Time
}

// CountedBefore are the photos of a run that count in classes held before it as well.
func (b *Book) CountedBefore(ctx context.Context, run Run) ([]Again, error) {
	out, err := database.Each(func(scan database.Row) (a Again, err error) {
		var day string
		if err = scan(&a.File, &a.Session, &day); err == nil {
			a.HeldOn, err = time.Parse(time.DateOnly, day)
		}
		return a, err
	})(b.db.QueryContext(ctx, `SELECT DISTINCT e.file, s.name, s.held_on FROM entry e JOIN result r ON r.id = e.result_id
		JOIN result o ON substr(o.photo_hash, 1, 64) = substr(r.photo_hash, 1, 64) JOIN entry there ON there.result_id = o.id
		JOIN run ON run.id = there.run_id JOIN session s ON s.id = run.session_id
		WHERE e.run_id = $1 AND e.present = 1 AND e.trainee_id IS NOT NULL AND there.present = 1 AND there.trainee_id IS NOT NULL
		AND (s.held_on < $2 OR s.held_on = $2 AND s.id < $3) ORDER BY e.file, s.held_on, s.name`, run.ID, run.HeldOn.Format(time.DateOnly), run.Session))
	return out, b.fail("look for photos of earlier classes", err)
}

// History returns each session's latest finished run up to a day, oldest first.
func (b *Book) History(ctx context.Context, until time.Time) ([]Run, error) {
	return b.finished(ctx, `SELECT r.id, s.id, s.name, s.held_on, r.changes FROM run r JOIN session s ON s.id = r.session_id
		WHERE s.held_on <= $1 AND r.id = (SELECT max(id) FROM run WHERE session_id = s.id AND finished_at IS NOT NULL) ORDER BY s.held_on, s.id`, until.Format(time.DateOnly))
}

// SetPace keeps the minutes a trainee took in a session, when they are new.
func (b *Book) SetPace(ctx context.Context, session int64, trainee string, minutes float64) error {
	err := b.db.In(ctx, func(tx *sql.Tx) error {
		id, err := traineeID(ctx, tx, trainee)
		if err != nil {
			return err
		}
		_, err = tx.ExecContext(ctx, `INSERT INTO pace (session_id, trainee_id, minutes, entered_at) SELECT $1, $2, $3, $4
			WHERE $3 IS DISTINCT FROM (SELECT minutes FROM pace WHERE session_id = $1 AND trainee_id = $2 ORDER BY id DESC LIMIT 1)`,
			session, id, minutes, now())
		if err != nil {
			return err
		}
		return changed(ctx, tx, `session_id = $1`, session)
	})
	return b.fail("keep the minutes of a trainee", err)
}

// Pace returns the minutes each trainee took in a session, as last entered.
func (b *Book) Pace(ctx context.Context, session int64) (map[string]float64, error) {
	out, err := database.Pairs[string, float64](b.db.QueryContext(ctx, `SELECT t.name, p.minutes FROM pace p JOIN trainee t ON t.id = p.trainee_id WHERE p.session_id = $1 ORDER BY p.id`, session))
	return out, b.fail("read the minutes", err)
}
