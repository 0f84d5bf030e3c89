package book

import (
	"context"
	"database/sql"
	"encoding/json"
	"slices"

	"netagauge/internal/core/phrase"
	"netagauge/internal/judge/exam"
	"netagauge/internal/keep/database"
)

// Person is somebody whom the book is to forget.
type Person struct {
	Name   string
	Photos []PersonPhoto // the first photos of their trays in classes
}

// PersonPhoto is one of them, and where it was entered.
type PersonPhoto struct {
	Hash        string
	Shared      bool   // somebody else sent the same photo, too: its results stay theirs
	Class, File string // session and file of its entries
}

// Removed is how much of a person the book had.
type Removed struct {
	Results int // with their pictures
	Guesses int
	Grades  int
	Words   int // rows that stay, without the name: checks of a line, remarks, orders
	Exams   int // whose record stays, without the name
}

// Any reports whether the book had anything.
func (r Removed) Any() bool { return r != Removed{} }

// ErrInExam is why somebody cannot be forgotten yet: an exam needs its names until it
// is closed.
var ErrInExam = phrase.Wrong("removal-in-exam")

// nameless are the columns that hold a person's name beside what stays: numbers of a
// line, decisions about others' trays, blocks.
var nameless = []column{{"spot_check", "who"}, {"override", "who"}, {"cut_order", "who"}, {"remark", "who"}, {"handover", "who"}, {"block", "cutter"}, {"result", "label"}}

type column struct{ table, name string }

// Remove takes a person out of the book, all or nothing: results with their pictures,
// entries, grades, minutes, guesses; the name where the row is not theirs alone. Of a
// closed exam the record stays, whose acts have no name, and the trays' results that
// its hashes are of. Done again it finds nothing more.
func (b *Book) Remove(ctx context.Context, p Person) (r Removed, err error) {
	err = b.db.In(ctx, func(tx *sql.Tx) error {
		r, err = remove(ctx, tx, p)
		return err
	})
	return r, b.fail("delete a person's records", err)
}

// Holds is what Remove would take. It may be asked while an exam runs.
func (b *Book) Holds(ctx context.Context, p Person) (r Removed, err error) {
	err = b.db.In(ctx, func(tx *sql.Tx) error {
		if r, err = forget(ctx, tx, p); err == nil {
			err = errOnlyLooking
		}
		return err
	})
	if err == errOnlyLooking {
		err = nil
	}
	return r, b.fail("look at a person's records", err)
}

var errOnlyLooking = phrase.Wrong("trouble-text")

func remove(ctx context.Context, tx *sql.Tx, p Person) (Removed, error) {
	open, err := number(ctx, tx, openExams, p.Name)
	if err == nil && open > 0 {
		err = ErrInExam
	}
	if err != nil {
		return Removed{}, err
	}
	return forget(ctx, tx, p)
}

func forget(ctx context.Context, tx *sql.Tx, p Person) (r Removed, err error) {
	f := forgetting{ctx: ctx, tx: tx, Person: p}
	if err := f.look(); err != nil {
		return r, err
	}
	if r.Results, err = f.results(); err != nil {
		return r, err
	}
	if r.Grades, err = f.counted(`DELETE FROM grade WHERE trainee_id = $1`, f.trainee); err != nil {
		return r, err
	}
	for _, of := range []string{`DELETE FROM pace WHERE trainee_id = $1`, `DELETE FROM trainee WHERE id = $1`} {
		if _, err := f.counted(of, f.trainee); err != nil {
			return r, err
		}
	}
	if r.Guesses, err = f.counted(`DELETE FROM guess WHERE person = $1`, p.Name); err != nil {
		return r, err
	}
	if r.Exams, err = f.counted(`DELETE FROM exam_name WHERE name = $1`, p.Name); err != nil {
		return r, err
	}
	if r.Words, err = f.texts(); err != nil {
		return r, err
	}
	for _, c := range nameless {
		n, err := f.counted(`UPDATE `+c.table+` SET `+c.name+` = '' WHERE `+c.name+` = $1`, p.Name)
		if err != nil {
			return r, err
		}
		r.Words += n
	}
	return r, nil
}

// forgetting is one person's removal under way.
type forgetting struct {
	ctx context.Context
	tx  *sql.Tx
	Person
	trainee int64          // 0 where the book knows no trainee of that name
	exams   map[int64]bool // results that the record of an exam speaks of
	sealed  map[string]bool
	shared  map[string]bool // photos that are somebody else's, too
}

// counted does a statement and counts the rows.
func (f *forgetting) counted(query string, args ...any) (int, error) {
	done, err := f.tx.ExecContext(f.ctx, query, args...)
	if err != nil {
		return 0, err
	}
	n, err := done.RowsAffected()
	return int(n), err
}

func number(ctx context.Context, tx *sql.Tx, query string, args ...any) (n int64, err error) {
	err = tx.QueryRowContext(ctx, query, args...).Scan(&n)
	return n, err
}

// look finds out what is theirs and what is not theirs alone.
func (f *forgetting) look() (err error) {
	if f.trainee, err = number(f.ctx, f.tx, `SELECT coalesce(max(id), 0) FROM trainee WHERE name = $1`, f.Name); err != nil {
		return err
	}
	f.shared = map[string]bool{}
	for _, p := range f.Photos {
		if p.Shared {
			f.shared[p.Hash] = true
		}
	}
	f.exams, f.sealed = map[int64]bool{}, map[string]bool{}
	acts, err := database.All[string](f.tx.QueryContext(f.ctx, `SELECT act FROM exam_act`))
	if err != nil {
		return err
	}
	for _, text := range acts {
		var a exam.Act
		if err := json.Unmarshal([]byte(text), &a); err != nil {
			return err
		}
		if a.Tray != nil {
			f.exams[a.Tray.Result] = true
		}
		if a.Task != nil {
			f.sealed[a.Task.Ticket] = true
		}
	}
	return nil
}

// results deletes the entries, and the results that nothing else rests on.
func (f *forgetting) results() (deleted int, err error) {
	if err := changed(f.ctx, f.tx, `id IN (SELECT run_id FROM entry WHERE trainee_id = $1)`, f.trainee); err != nil {
		return 0, err
	}
	theirs, err := f.theirs()
	if err != nil {
		return 0, err
	}
	for _, p := range f.Photos {
		if _, err := f.counted(`DELETE FROM entry WHERE file = $1 AND run_id IN (SELECT r.id FROM run r JOIN session s ON s.id = r.session_id WHERE s.name = $2)`, p.File, p.Class); err != nil {
			return 0, err
		}
	}
	if _, err := f.counted(`DELETE FROM entry WHERE trainee_id = $1`, f.trainee); err != nil {
		return 0, err
	}
	for _, t := range theirs {
		gone, err := f.result(t.id, t.photo)
		if err != nil {
			return 0, err
		}
		deleted += gone
	}
	return deleted, nil
}

type photoResult struct {
	id    int64
	photo string // hash of the first
}

// theirs are the results of their photos, by whatever ticket and version.
func (f *forgetting) theirs() (out []photoResult, err error) {
	if out, err = f.found(out, `SELECT r.id, substr(r.photo_hash, 1, 64) FROM result r JOIN entry e ON e.result_id = r.id WHERE e.trainee_id = $1`, f.trainee); err != nil {
		return nil, err
	}
	for _, p := range f.Photos {
		if out, err = f.found(out, `SELECT id, substr(photo_hash, 1, 64) FROM result WHERE substr(photo_hash, 1, 64) = $1`, p.Hash); err != nil {
			return nil, err
		}
	}
	return slices.DeleteFunc(out, func(r photoResult) bool { return f.shared[r.photo] || f.exams[r.id] }), nil
}

func (f *forgetting) found(out []photoResult, query string, arg any) ([]photoResult, error) {
	all, err := database.Each(func(scan database.Row) (r photoResult, err error) { return r, scan(&r.id, &r.photo) })(f.tx.QueryContext(f.ctx, query, arg))
	for _, r := range all {
		if !slices.Contains(out, r) {
			out = append(out, r)
		}
	}
	return out, err
}

// result deletes one, with what was said about its tray, unless a line or another
// trainee has it.
func (f *forgetting) result(id int64, photo string) (deleted int, err error) {
	others, err := number(f.ctx, f.tx, `SELECT (SELECT count(*) FROM spot_check WHERE result_id = $1) + (SELECT count(*) FROM entry WHERE result_id = $1 AND trainee_id IS NOT NULL)`, id)
	if err != nil || others > 0 {
		return 0, err
	}
	if _, err := f.counted(`DELETE FROM entry WHERE result_id = $1`, id); err != nil {
		return 0, err
	}
	if deleted, err = f.counted(`DELETE FROM result WHERE id = $1`, id); err != nil {
		return 0, err
	}
	left, err := number(f.ctx, f.tx, `SELECT count(*) FROM result WHERE substr(photo_hash, 1, 64) = $1`, photo)
	if err != nil || left > 0 {
		return deleted, err
	}
	for _, of := range []string{`DELETE FROM override WHERE photo_hash = $1`, `DELETE FROM cut_order WHERE photo_hash = $1`} {
		if _, err := f.counted(of, photo); err != nil {
			return 0, err
		}
	}
	return deleted, nil
}
