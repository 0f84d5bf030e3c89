package book

import (
	"context"
	"crypto/rand"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"math/big"
	"slices"
	"time"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/judge/exam"
	"netagauge/internal/judge/ticket"
	"netagauge/internal/keep/database"
)

// SetUpExam begins an exam's row of acts: the task, and a number drawn for each name.
func (b *Book) SetUpExam(ctx context.Context, t exam.Task, by string, names []string) (id int64, err error) {
	err = b.db.In(ctx, func(tx *sql.Tx) error {
		err := tx.QueryRowContext(ctx, `INSERT INTO exam (name) VALUES ($1) ON CONFLICT (name) DO NOTHING RETURNING id`, t.Name).Scan(&id)
		if errors.Is(err, sql.ErrNoRows) {
			return phrase.Wrong("exam-there", t.Name)
		}
		if err != nil {
			return err
		}
		acts := acts{exam: id, e: &exam.Exam{}}
		if err := acts.do(ctx, tx, exam.Act{Kind: exam.SetUp, By: by, Task: &t}); err != nil {
			return err
		}
		for _, name := range names {
			if err := acts.enter(ctx, tx, by, name); err != nil {
				return err
			}
		}
		return nil
	})
	return id, b.fail("set up the exam", err)
}

// SealExam keeps the ticket that an exam is held against, and sets the exam up: what is
// measured, and what passes, nobody changes any more.
func (b *Book) SealExam(ctx context.Context, t exam.Task, told ticket.Ticket, by string, names []string) (id int64, err error) {
	if err := told.Check(); err != nil {
		return 0, err
	}
	t.Species, _ = told.Fish()
	t.Close = told.Standard.CountsAsPass(piece.Unsure)
	if t.Ticket, err = b.Ticket(ctx, told); err != nil {
		return 0, err
	}
	if err := t.Check(); err != nil {
		return 0, err
	}
	if len(names) == 0 {
		return 0, exam.ErrNobody
	}
	return b.SetUpExam(ctx, t, by, names)
}

// acts is an exam's row of acts while it gets longer.
type acts struct {
	exam int64
	e    *exam.Exam
	n    int
	last string // hash
}

// do puts an act behind those that are there, if it can follow them.
func (s *acts) do(ctx context.Context, tx *sql.Tx, a exam.Act) error {
	a.At = time.Now().UTC().Truncate(time.Second)
	if err := s.e.Do(a); err != nil {
		return err
	}
	entry, err := exam.Next(s.last, a)
	if err != nil {
		return err
	}
	s.n, s.last = s.n+1, entry.Hash
	if _, err := tx.ExecContext(ctx, `INSERT INTO exam_act (exam_id, place, act, hash) VALUES ($1, $2, $3, $4)`, s.exam, s.n, entry.Act, entry.Hash); err != nil {
		return err
	}
	if a.Kind == exam.Closed {
		_, err = tx.ExecContext(ctx, `UPDATE exam SET closed_at = $1 WHERE id = $2`, a.At.Format(time.RFC3339), s.exam)
	}
	return err
}

// Numbers have three digits; no more than half of them are given away, so that drawing
// one that is free takes few tries.
const lowestNumber, allNumbers = 100, 900

// enter draws a number for a name, which tells nothing of the order of the names.
func (s *acts) enter(ctx context.Context, tx *sql.Tx, by, name string) error {
	if len(s.e.Numbers) >= allNumbers/2 {
		return phrase.Wrong("exam-many", allNumbers/2)
	}
	number := 0
	for number == 0 || slices.Contains(s.e.Numbers, number) {
		n, err := rand.Int(rand.Reader, big.NewInt(allNumbers))
		if err != nil {
			return err
		}
		number = lowestNumber + int(n.Int64())
	}
	salt := rand.Text()
	if _, err := tx.ExecContext(ctx, `INSERT INTO exam_name (exam_id, number, name, salt) VALUES ($1, $2, $3, $4)`, s.exam, number, name, salt); err != nil {
		return err
	}
	return s.do(ctx, tx, exam.Act{Kind: exam.Entered, By: by, Number: number, Sealed: exam.Seal(salt, name)})
}

// ExamAct does the act that next makes of the exam as it is now, with the clock's time.
// Nothing is kept of one that cannot follow, or where next says ErrNothing.
func (b *Book) ExamAct(ctx context.Context, id int64, next func(*exam.Exam) (exam.Act, error)) error {
	err := b.db.In(ctx, func(tx *sql.Tx) error {
		e, record, err := readExam(ctx, tx, id)
		if err != nil {
			return err
		}
		a, err := next(e)
		if err != nil {
			return err
		}
		s := acts{exam: id, e: e, n: len(record), last: record[len(record)-1].Hash}
		return s.do(ctx, tx, a)
	})
	if errors.Is(err, ErrNothing) {
		return nil
	}
	return b.fail("keep what was done in the exam", err)
}

// ErrNothing says that there is nothing to be done, ErrNoExam that there is no such exam.
var (
	ErrNothing = phrase.Wrong("exam-nothing")
	ErrNoExam  = phrase.Wrong("exam-none")
)

// SendTray enters a measured photo as a tray of a candidate's. One that is there
// already is left alone.
func (b *Book) SendTray(ctx context.Context, id int64, number, place int, result int64, received time.Time) error {
	photo, text, err := b.resultText(ctx, result)
	if err != nil {
		return err
	}
	var r piece.Tray
	if err := json.Unmarshal([]byte(text), &r); err != nil {
		return fmt.Errorf("%s, %d: %w", b.path, result, err)
	}
	return b.ExamAct(ctx, id, func(e *exam.Exam) (exam.Act, error) {
		if t, there := e.Tray(number, place); there && t.Result == result {
			return exam.Act{}, ErrNothing
		}
		return exam.Act{Kind: exam.Sent, Number: number, Tray: &exam.Tray{Place: place, Photo: photo, Report: Hash([]byte(text)), Result: result,
			Received: received.UTC().Truncate(time.Second), Pieces: exam.SeenIn(r)}}, nil
	})
}

func (b *Book) resultText(ctx context.Context, result int64) (photo, report string, err error) {
	err = b.db.QueryRowContext(ctx, `SELECT photo_hash, report FROM result WHERE id = $1`, result).Scan(&photo, &report)
	return photo, report, b.fail("read a photo's report", err)
}

// Exam is the exam as it is now, with its record.
func (b *Book) Exam(ctx context.Context, id int64) (*exam.Exam, []exam.Entry, error) {
	e, record, err := readExam(ctx, b.db, id)
	return e, record, b.fail("read the exam", err)
}

func readExam(ctx context.Context, q database.Querier, id int64) (*exam.Exam, []exam.Entry, error) {
	record, err := entries(ctx, q, id)
	if err == nil && len(record) == 0 {
		err = ErrNoExam
	}
	if err != nil {
		return nil, nil, err
	}
	e, err := exam.Read(record)
	return e, record, err
}

func entries(ctx context.Context, q database.Querier, id int64) ([]exam.Entry, error) {
	return database.Each(func(scan database.Row) (e exam.Entry, err error) {
		return e, scan(&e.Act, &e.Hash)
	})(q.QueryContext(ctx, `SELECT act, hash FROM exam_act WHERE exam_id = $1 ORDER BY place`, id))
}

// Listed is an exam in a list.
type Listed struct {
	ID     int64
	Name   string
	Closed bool
}

// Exams lists exams, the latest first: so many of them, from a place on.
func (b *Book) Exams(ctx context.Context, from, n int) ([]Listed, error) {
	return b.exams(ctx, `ORDER BY id DESC LIMIT $1 OFFSET $2`, n, from)
}

// ExamNamed is the one of a name; ErrNoExam when there is none.
func (b *Book) ExamNamed(ctx context.Context, name string) (Listed, error) {
	all, err := b.exams(ctx, `WHERE name = $1`, name)
	if err == nil && len(all) == 0 {
		err = ErrNoExam
	}
	if err != nil {
		return Listed{}, err
	}
	return all[0], nil
}

func (b *Book) exams(ctx context.Context, where string, args ...any) ([]Listed, error) {
	out, err := database.Each(func(scan database.Row) (l Listed, err error) {
		return l, scan(&l.ID, &l.Name, &l.Closed)
	})(b.db.QueryContext(ctx, `SELECT id, name, closed_at IS NOT NULL FROM exam `+where, args...))
	return out, b.fail("read the exams", err)
}

// ExamOf is the latest exam that somebody takes part in, and under which number; false
// where there is none.
func (b *Book) ExamOf(ctx context.Context, name string) (id int64, number int, found bool, err error) {
	err = b.db.QueryRowContext(ctx, `SELECT exam_id, number FROM exam_name WHERE name = $1 ORDER BY exam_id DESC LIMIT 1`, name).Scan(&id, &number)
	if errors.Is(err, sql.ErrNoRows) {
		return 0, 0, false, nil
	}
	return id, number, err == nil, b.fail("look for an exam", err)
}

// InOpenExam reports whether somebody has a number in an exam that is not closed.
func (b *Book) InOpenExam(ctx context.Context, name string) (bool, error) {
	var n int
	err := b.db.QueryRowContext(ctx, openExams, name).Scan(&n)
	return n > 0, b.fail("look for an exam", err)
}

const openExams = `SELECT count(*) FROM exam_name n JOIN exam e ON e.id = n.exam_id WHERE n.name = $1 AND e.closed_at IS NULL`

// ExamNames are whose the numbers are, but for names that were deleted. Nobody is shown
// them before the exam is closed. A name that the record does not have is an error.
func (b *Book) ExamNames(ctx context.Context, id int64, e *exam.Exam) (map[int]string, error) {
	out := map[int]string{}
	err := database.Every(func(scan database.Row) error {
		var number int
		var name, salt string
		if err := scan(&number, &name, &salt); err != nil {
			return b.fail("read the names", err)
		}
		if exam.Seal(salt, name) != e.Sealed[number] {
			return phrase.Wrong("exam-name-changed", number)
		}
		out[number] = name
		return nil
	})(b.db.QueryContext(ctx, `SELECT number, name, salt FROM exam_name WHERE exam_id = $1`, id))
	return out, err
}

// CheckExam holds an exam's record against everything else that the book has of it:
// the chain, the acts, the sealed standard, each tray's photo and report, the names.
// The error says what does not agree first.
func (b *Book) CheckExam(ctx context.Context, id int64) (*exam.Exam, []exam.Entry, error) {
	e, record, err := b.Exam(ctx, id)
	if err != nil {
		return nil, nil, err
	}
	var ticket string
	err = b.db.QueryRowContext(ctx, `SELECT json FROM ticket WHERE hash = $1`, e.Task.Ticket).Scan(&ticket)
	switch {
	case err != nil:
		return e, record, b.fail("read what the exam is held against", err)
	case Hash([]byte(ticket)) != e.Task.Ticket:
		return e, record, phrase.Wrong("exam-ticket-changed")
	}
	for _, t := range e.Trays {
		photo, report, err := b.resultText(ctx, t.Result)
		switch {
		case err != nil:
			return e, record, err
		case photo != t.Photo || Hash([]byte(report)) != t.Report:
			return e, record, phrase.Wrong("exam-tray-changed", t.Place, t.Number)
		}
	}
	_, err = b.ExamNames(ctx, id, e)
	return e, record, err
}
