// Package historytest fills a kitchen's data folder with a long history, for tests
// of what it costs: shots that are measured, their results, classes and spot checks.
// Reports are small and made up (four slices, outlines of twelve corners); there are
// no photos on the disk and no pictures in the book. Names are invented.
package historytest

import (
	"context"
	"database/sql"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"time"

	"netagauge/internal/judge/exam"
	"netagauge/internal/judge/standard"
	"netagauge/internal/judge/ticket"
	"netagauge/internal/keep/book"
	"netagauge/internal/keep/database"
	"netagauge/internal/keep/intake"
	"netagauge/internal/keep/settings"
)

// Size is how long a history is.
type Size struct {
	Classes  int // one a week, the last one today
	Trays    int // of each class
	Trainees int // who take turns
	Checks   int // on the line, twenty a day, the last ones today
}

// All is how many trays there are.
func (s Size) All() int { return s.Classes*s.Trays + s.Checks }

// Line is the name of the line.
const Line = "line"

// Trainee is the name of trainee i.
func Trainee(i int) string { return fmt.Sprintf("Trainee %02d", i+1) }

// Class is the name of class i.
func Class(i int) string { return fmt.Sprintf("Class %04d", i+1) }

// Fill makes the folder dir, with the last class open, as the program of that
// version would have.
func Fill(ctx context.Context, dir, program string, s Size) error {
	told := ticket.Ticket{Standard: standard.Default(), Species: "salmon", Thickness: "4.2"}
	hash, err := begin(ctx, dir, program, told, s)
	if err != nil {
		return err
	}
	text, err := json.Marshal(told)
	if err != nil {
		return err
	}
	w := writer{size: s, program: program, asked: hash, told: string(text), now: time.Now(), random: rand.New(rand.NewPCG(9, 9))}
	if err := w.in(ctx, filepath.Join(dir, "book.sqlite"), w.book); err != nil {
		return err
	}
	if err := w.in(ctx, filepath.Join(dir, "intake.sqlite"), w.list); err != nil {
		return err
	}
	return w.exams(ctx, dir)
}

// Exams is how many exams there are: one for each class, up to some years' worth.
func (s Size) Exams() int { return min(s.Classes, 60) }

// exams are closed but for the last, in which the first trainee has sent a tray.
func (w *writer) exams(ctx context.Context, dir string) error {
	b, err := book.Open(ctx, filepath.Join(dir, "book.sqlite"))
	if err != nil {
		return err
	}
	defer b.Close()
	for i := range w.size.Exams() {
		task := exam.Task{Name: Exam(i), Ticket: w.asked, Species: "salmon", Trays: 2, Slices: slices, Minutes: 30, Mark: 0.8, Close: true}
		id, err := b.SetUpExam(ctx, task, "Instructor", []string{Trainee(0), Trainee(1)})
		if err != nil {
			return err
		}
		_, number, _, err := b.ExamOf(ctx, Trainee(0))
		if err != nil {
			return err
		}
		if err := b.ExamAct(ctx, id, func(*exam.Exam) (exam.Act, error) { return exam.Act{Kind: exam.Begun, By: "Instructor"}, nil }); err != nil {
			return err
		}
		if err := b.SendTray(ctx, id, number, 1, 1, time.Now()); err != nil || i == w.size.Exams()-1 {
			return err
		}
		if err := b.ExamAct(ctx, id, func(e *exam.Exam) (exam.Act, error) {
			r := e.Results()
			return exam.Act{Kind: exam.Closed, By: "Instructor", Result: &r}, nil
		}); err != nil {
			return err
		}
	}
	return nil
}

// Exam is the name of exam i.
func Exam(i int) string { return fmt.Sprintf("Exam %04d", i+1) }

// begin makes the folder with its tables, classes and settings.
func begin(ctx context.Context, dir, program string, told ticket.Ticket, s Size) (asked string, err error) {
	f, err := intake.Open(ctx, dir, program)
	if err != nil {
		return "", err
	}
	defer f.Close()
	if err := f.SetSession(ctx, intake.Session{Kind: intake.Line, Name: Line, Ticket: told}); err != nil {
		return "", err
	}
	roster := "label,name\n"
	for i := range s.Trainees {
		roster += fmt.Sprintf("Tray %02d,%s\n", i+1, Trainee(i))
	}
	for name, text := range map[string]string{settings.Roster: roster, settings.OpenClass: Class(s.Classes-1) + "\n"} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600); err != nil {
			return "", err
		}
	}
	return f.Book().Ticket(ctx, told)
}

// writer puts rows straight into the tables, which migrations/*.sql document: a
// hundred thousand photos received one by one would take hours.
type writer struct {
	size                 Size
	program, asked, told string
	now                  time.Time
	random               *rand.Rand
}

// in runs f in one transaction that nothing has to last of.
func (w *writer) in(ctx context.Context, path string, f func(context.Context, *sql.Tx) error) error {
	db, err := database.ConnectFile(path, "_synchronous=OFF")
	if err != nil {
		return err
	}
	defer db.Close()
	tx, err := db.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	defer tx.Rollback()
	if err := f(ctx, tx); err != nil {
		return fmt.Errorf("fill %q: %w", path, err)
	}
	return tx.Commit()
}

// tray is where tray n, from 0, belongs: class and place in it, or a check.
func (w *writer) tray(n int) (class, check int) {
	if n < w.size.Classes*w.size.Trays {
		return n / w.size.Trays, -1
	}
	return -1, n - w.size.Classes*w.size.Trays
}

// at is when tray n was received.
func (w *writer) at(n int) time.Time {
	class, check := w.tray(n)
	if class >= 0 {
		return w.heldOn(class).Add(time.Duration(n%w.size.Trays) * time.Second)
	}
	day := (w.size.Checks - 1 - check) / 20
	return w.now.AddDate(0, 0, -day).Add(time.Duration(check-w.size.Checks) * time.Second)
}

func (w *writer) heldOn(class int) time.Time {
	return w.now.UTC().Truncate(24*time.Hour).AddDate(0, 0, -7*(w.size.Classes-1-class))
}
