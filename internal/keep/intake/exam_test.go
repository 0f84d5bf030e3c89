package intake

import (
	"bytes"
	"database/sql"
	"errors"
	"strconv"
	"testing"

	"netagauge/internal/core/fatal"
	"netagauge/internal/judge/exam"
)

// sat is a folder with an exam of one candidate, whose number it is.
func sat(t *testing.T, f *Folder) (id int64, number int) {
	t.Helper()
	ctx := t.Context()
	hash, err := f.book.Ticket(ctx, told())
	fatal.If(t, err)
	id, err = f.book.SetUpExam(ctx, exam.Task{Name: "Autumn", Ticket: hash, Trays: 2, Slices: 1, Minutes: 30, Mark: 0.8, Close: true}, "Mori", []string{"Aoi Test"})
	fatal.If(t, err)
	fatal.If(t, f.SetSession(ctx, Session{Kind: Exam, Name: "Autumn", Ticket: told()}))
	if _, number, _, err = f.book.ExamOf(ctx, "Aoi Test"); err != nil {
		t.Fatal(err)
	}
	return id, number
}

func done(t *testing.T, f *Folder, id int64, kind string) {
	t.Helper()
	if err := f.book.ExamAct(t.Context(), id, func(e *exam.Exam) (exam.Act, error) {
		r := e.Results()
		a := exam.Act{Kind: kind, By: "Mori"}
		if kind == exam.Closed {
			a.Result = &r
		}
		return a, nil
	}); err != nil {
		t.Fatal(err)
	}
}

// A photo of an exam is a tray of its sender's number there, and in no class; one that
// is refused is none; one that comes after the end is measured and changes nothing.
func TestExamPhotos(t *testing.T) {
	f, ctx := open4test(t), t.Context()
	id, number := sat(t, f)
	done(t, f, id, exam.Begun)
	send := func(place, photo int, refused bool) Shot {
		t.Helper()
		s, err := f.Receive(ctx, Shot{Owner: "trainee/Aoi Test", Who: strconv.Itoa(number), Kind: Exam, Session: "Autumn", Place: place, Ticket: told()}, bytes.NewReader(numbered(t, photo)))
		fatal.If(t, err)
		next, found, err := f.Next(ctx)
		if err != nil || !found || next.ID != s.ID || next.Place != place {
			t.Fatalf("next is %+v, %v, %v", next, found, err)
		}
		result, err := inBook(ctx, f, next, measured(photo), nil)
		fatal.If(t, err)
		for range 2 { // settling may be repeated
			fatal.If(t, f.Settle(ctx, next, Outcome{Result: result, Refused: refused}))
		}
		return next
	}
	trays := func() int {
		e, _, err := f.book.Exam(ctx, id)
		fatal.If(t, err)
		return len(e.Trays)
	}
	send(1, 1, false)
	if n := trays(); n != 1 {
		t.Errorf("%d trays, want 1", n)
	}
	if send(2, 2, true); trays() != 1 {
		t.Error("a refused photo is a tray")
	}
	send(2, 3, false)
	e, _, _ := f.book.Exam(ctx, id)
	if tray, there := e.Tray(number, 2); !there || tray.Late || len(tray.Pieces) != 1 {
		t.Errorf("%+v, %v", tray, there)
	}
	done(t, f, id, exam.Closed)
	if s := send(2, 4, false); trays() != 2 {
		t.Errorf("after the end: %+v", s)
	}
	run, err := f.Run(ctx, "Monday")
	fatal.If(t, err)
	if entries, err := f.Book().Entries(ctx, run.ID); err != nil || len(entries) != 0 {
		t.Errorf("the class has %v, %v", entries, err)
	}
}

// The list of an earlier program takes exams, and its keys are held as before.
func TestOldListTakesExams(t *testing.T) {
	f := before(t)
	if err := f.SetSession(t.Context(), Session{Kind: Exam, Name: "Autumn", Ticket: told()}); err != nil {
		t.Error(err)
	}
	var held int
	if err := f.db.In(t.Context(), func(tx *sql.Tx) error { return tx.QueryRow(`PRAGMA foreign_keys`).Scan(&held) }); err != nil || held != 1 {
		t.Errorf("foreign keys %d, %v", held, err)
	}
	rows, err := f.db.QueryContext(t.Context(), `PRAGMA foreign_key_check`)
	fatal.If(t, err)
	defer rows.Close()
	if rows.Next() {
		t.Error("a photo belongs to nothing")
	}
	rows.Close()
	_, err = f.db.ExecContext(t.Context(), `UPDATE shot SET session = 'no such class' WHERE number = 1`)
	if err == nil {
		t.Error("a photo may belong to nothing")
	}
	if _, err := f.Session(t.Context(), Exam, "Winter"); !errors.Is(err, ErrNoSession) {
		t.Error(err)
	}
}
