package intake

import (
	"context"
	"database/sql"
	"errors"
	"strings"
	"time"

	"netagauge/internal/core/phrase"
	"netagauge/internal/keep/book"
	"netagauge/internal/keep/database"
)

// Why a person's records are deleted.
const (
	Asked      = "asked"      // by the person
	Instructed = "instructor" // by who teaches
	Aged       = "age"        // by the school's dates of keeping
)

// Removal is the deletion of a person's records.
type Removal struct {
	ID      int64
	Name    string // empty once it is done
	Why     string
	Going   bool // it was confirmed, and goes on until it is done whatever stops the program
	AskedAt time.Time
	DoneAt  time.Time // zero before
	Photos  int
	Bytes   int64
	book.Removed
}

// leaving fails where an account's removal is going on.
func leaving(ctx context.Context, tx *sql.Tx, owner string) error {
	var n int
	err := tx.QueryRowContext(ctx, `SELECT count(*) FROM removal WHERE state = 'going' AND 'trainee/' || name = $1`, owner).Scan(&n)
	if err == nil && n > 0 {
		err = ErrLeaving
	}
	return err
}

// ErrLeaving is why nothing more is taken in from somebody.
var ErrLeaving = phrase.Wrong("removal-leaving")

// AskRemoval notes that somebody wants to be deleted, or that it is to be done at once.
// Asked twice it is one; what was begun is not undone.
func (f *Folder) AskRemoval(ctx context.Context, name, why string, begin bool) error {
	state := "asked"
	if begin {
		state = "going"
	}
	_, err := f.db.ExecContext(ctx, `INSERT INTO removal (name, why, state, asked_at) VALUES ($1, $2, $3, $4)
		ON CONFLICT (name) WHERE state <> 'done' DO UPDATE SET state = CASE WHEN removal.state = 'going' THEN 'going' ELSE excluded.state END`,
		name, why, state, time.Now().UTC().Format(time.RFC3339))
	if err != nil {
		return f.fail("note who wants to be deleted", err)
	}
	f.tell()
	return nil
}

// TakeBackRemoval forgets that somebody asked, unless it has begun.
func (f *Folder) TakeBackRemoval(ctx context.Context, name string) error {
	_, err := f.db.ExecContext(ctx, `DELETE FROM removal WHERE name = $1 AND state = 'asked'`, name)
	return f.fail("note who wants to be deleted", err)
}

// Removals are those that are asked for or going on, oldest first, and the last so many
// that were done, latest first.
func (f *Folder) Removals(ctx context.Context, last int) (open, done []Removal, err error) {
	if open, err = f.removals(ctx, `WHERE state <> 'done' ORDER BY id`); err == nil {
		done, err = f.removals(ctx, `WHERE state = 'done' ORDER BY id DESC LIMIT $1`, last)
	}
	return open, done, err
}

// RemovalOf is somebody's that is not done; false where there is none.
func (f *Folder) RemovalOf(ctx context.Context, name string) (Removal, bool, error) {
	all, err := f.removals(ctx, `WHERE name = $1 AND state <> 'done'`, name)
	if err != nil || len(all) == 0 {
		return Removal{}, false, err
	}
	return all[0], true, nil
}

func (f *Folder) removals(ctx context.Context, where string, args ...any) ([]Removal, error) {
	out, err := database.Each(func(scan database.Row) (r Removal, err error) {
		var state, asked, done string
		err = scan(&r.ID, &r.Name, &r.Why, &state, &asked, &done, &r.Photos, &r.Bytes, &r.Results, &r.Guesses, &r.Words)
		if err == nil {
			r.AskedAt, err = time.Parse(time.RFC3339, asked)
		}
		if err == nil && done != "" {
			r.DoneAt, err = time.Parse(time.RFC3339, done)
		}
		if err != nil {
			return r, err
		}
		r.Going = state == "going"
		return r, nil
	})(f.db.QueryContext(ctx, `SELECT id, name, why, state, asked_at, done_at, photos, bytes, results, guesses, words FROM removal `+where, args...))
	return out, f.fail("read the deletions", err)
}

// traineeOwner is the account that a trainee's photos belong to.
func traineeOwner(name string) string { return "trainee/" + name }

// theirs are a person's own photos: all of the trainee's account.
func (f *Folder) theirs(ctx context.Context, name string) ([]Shot, error) {
	return f.shots(ctx, f.db, `WHERE owner = $1 ORDER BY number`, traineeOwner(name))
}

// person is who the book is to forget.
func (f *Folder) person(ctx context.Context, name string, shots []Shot) (book.Person, error) {
	p := book.Person{Name: name}
	for _, s := range shots {
		if s.Kind != Class {
			continue
		}
		var others int
		if err := f.db.QueryRowContext(ctx, `SELECT count(*) FROM shot WHERE hash = $1 AND owner <> $2`, s.Hash, s.Owner).Scan(&others); err != nil {
			return p, f.fail("look for copies", err)
		}
		p.Photos = append(p.Photos, book.PersonPhoto{Hash: s.Hash, Shared: others > 0, Class: s.Session, File: s.shown()})
	}
	return p, nil
}

// Holds is how much there is of a person, as Remove would take it.
func (f *Folder) Holds(ctx context.Context, name string) (r Removal, err error) {
	shots, err := f.theirs(ctx, name)
	if err != nil {
		return r, err
	}
	p, err := f.person(ctx, name, shots)
	if err != nil {
		return r, err
	}
	r.Name = name
	if r.Removed, err = f.book.Holds(ctx, p); err != nil {
		return r, err
	}
	files, err := f.filesOf(ctx, name)
	for _, x := range files {
		r.Photos, r.Bytes = r.Photos+1, r.Bytes+x.bytes
	}
	return r, err
}

// Remove deletes the records of somebody whose removal was begun: it gives false while
// a photo of theirs is being measured, for then it must be tried again. The photos go
// first and the rows last, so that whatever stops it in between, doing it again
// finishes it.
func (f *Folder) Remove(ctx context.Context, r Removal) (done bool, err error) {
	var p book.Person
	err = f.alone(ctx, func(ctx context.Context) error {
		if err := notMeasuring(ctx, f.db, r.Name); err != nil {
			return err
		}
		p, err = f.remove(ctx, &r)
		return err
	})
	if errors.Is(err, errMeasuring) {
		return false, nil
	}
	if err != nil {
		return false, f.fail("delete a person's records", err)
	}
	f.tell()
	return true, errors.Join(f.enterShared(ctx, p), f.db.Scrub(ctx), f.book.Scrub(ctx))
}

// errMeasuring is why a removal waits.
var errMeasuring = phrase.Wrong("state-measuring")

// notMeasuring is errMeasuring where a photo of a person's is.
func notMeasuring(ctx context.Context, q database.Querier, name string) error {
	var n int
	err := q.QueryRowContext(ctx, `SELECT count(*) FROM shot WHERE owner = $1 AND state = 'measuring'`, traineeOwner(name)).Scan(&n)
	if err == nil && n > 0 {
		err = errMeasuring
	}
	return err
}

func (f *Folder) remove(ctx context.Context, r *Removal) (p book.Person, err error) {
	shots, err := f.theirs(ctx, r.Name)
	if err != nil {
		return p, err
	}
	if p, err = f.person(ctx, r.Name, shots); err != nil {
		return p, err
	}
	removed, err := f.book.Remove(ctx, p)
	if err != nil {
		return p, err
	}
	files, err := f.filesOf(ctx, r.Name)
	if err != nil {
		return p, err
	}
	for _, x := range files {
		if err := f.photos.Delete(ctx, x.name); err != nil {
			return p, err
		}
		r.Photos, r.Bytes = r.Photos+1, r.Bytes+x.bytes
	}
	return p, f.unlist(ctx, *r, removed)
}

// photoFile is a file among the photos.
type photoFile struct {
	name  string
	bytes int64
}

// filesOf are the photos of a person that are still there, first and second ones.
func (f *Folder) filesOf(ctx context.Context, name string) ([]photoFile, error) {
	out, err := database.Each(func(scan database.Row) (x photoFile, err error) {
		return x, scan(&x.name, &x.bytes)
	})(f.db.QueryContext(ctx, `SELECT id || '.' || format, bytes FROM shot WHERE owner = $1 AND dropped = ''
		UNION ALL SELECT b.id || '.' || b.format, b.bytes FROM second b JOIN shot s ON s.number = b.shot WHERE s.owner = $1 AND b.dropped = ''`, traineeOwner(name)))
	return out, f.fail("look for the photos", err)
}

// unlist takes a person out of the list: rows of classes go; those of exams stay under
// the number, without the photo, and those of a line without the name. With them goes
// the name of the removal itself.
func (f *Folder) unlist(ctx context.Context, r Removal, removed book.Removed) error {
	now, nobody := time.Now().UTC().Format(time.RFC3339), "nobody/"+newID()
	return f.db.In(ctx, func(tx *sql.Tx) error {
		if err := notMeasuring(ctx, tx, r.Name); err != nil { // begun meanwhile: then once more from the start
			return err
		}
		do := func(query string, args ...any) error {
			_, err := tx.ExecContext(ctx, query, args...)
			return err
		}
		owner := traineeOwner(r.Name)
		return errors.Join(
			do(`DELETE FROM second WHERE shot IN (SELECT number FROM shot WHERE owner = $1 AND kind = 'class')`, owner),
			do(`DELETE FROM shot WHERE owner = $1 AND kind = 'class'`, owner),
			do(`UPDATE second SET name = '', dropped = $1 WHERE dropped = '' AND shot IN (SELECT number FROM shot WHERE owner = $2)`, now, owner),
			do(`UPDATE shot SET owner = $1, name = '', dropped = CASE WHEN dropped = '' THEN $2 ELSE dropped END WHERE owner = $3`, nobody, now, owner),
			do(`UPDATE shot SET owner = $1 WHERE owner IN ($2, $3)`, nobody, "chef/"+r.Name, "instructor/"+r.Name),
			do(`UPDATE shot SET who = '' WHERE who = $1`, r.Name),
			unnameFiles(ctx, tx, "shot", r.Name), unnameFiles(ctx, tx, "second", r.Name),
			do(`UPDATE removal SET name = '', state = 'done', done_at = $1, photos = $2, bytes = $3, results = $4, guesses = $5, words = $6 WHERE id = $7`,
				now, r.Photos, r.Bytes, removed.Results, removed.Guesses, removed.Words, r.ID),
		)
	})
}

// unnameFiles takes a name out of what phones called the files of others' photos.
func unnameFiles(ctx context.Context, tx *sql.Tx, of, name string) error {
	was, err := database.Pairs[int64, string](tx.QueryContext(ctx, `SELECT number, name FROM `+of+` WHERE replace(lower(name), $1, '') <> lower(name) OR replace(name, $2, '') <> name`, strings.ToLower(name), name))
	if err != nil {
		return err
	}
	for number, file := range was {
		if _, err := tx.ExecContext(ctx, `UPDATE `+of+` SET name = $1 WHERE number = $2`, book.Unname(file, name), number); err != nil {
			return err
		}
	}
	return nil
}

// enterShared enters anew what others sent of the same photos, since now theirs count.
func (f *Folder) enterShared(ctx context.Context, p book.Person) error {
	for _, x := range p.Photos {
		if !x.Shared {
			continue
		}
		left, err := f.shots(ctx, f.db, `WHERE hash = $1 AND kind = 'class' AND session = $2 AND result <> 0 ORDER BY number LIMIT 1`, x.Hash, x.Class)
		if err != nil {
			return err
		}
		if len(left) == 0 { // in another class, where it was not theirs that counted
			continue
		}
		if err := f.enterCopies(ctx, left[:1]); err != nil {
			return err
		}
	}
	return nil
}
