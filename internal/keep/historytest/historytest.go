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
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"time"

	"netagauge/internal/core/piece"
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

func photoHash(n int) string { return book.Hash(fmt.Appendf(nil, "photo %d", n)) }

func name(n int) string { return fmt.Sprintf("tray-%d.jpg", n) }

// statements prepares them in order.
func statements(ctx context.Context, tx *sql.Tx, texts ...string) (out []*sql.Stmt, err error) {
	for _, text := range texts {
		s, err := tx.PrepareContext(ctx, text)
		if err != nil {
			return nil, err
		}
		out = append(out, s)
	}
	return out, nil
}

func (w *writer) book(ctx context.Context, tx *sql.Tx) error {
	s, err := statements(ctx, tx,
		`INSERT INTO trainee (id, name) VALUES (?, ?)`,
		`INSERT INTO session (id, name, held_on, created_at) VALUES (?, ?, ?, ?)`,
		`INSERT INTO run (id, session_id, ticket_hash, program, started_at, finished_at) VALUES (?, ?, ?, ?, ?, ?)`,
		`INSERT INTO result (id, photo_hash, ticket_hash, program, status, label, problem, report, measured_at) VALUES (?, ?, ?, ?, 'measured', '', '', ?, ?)`,
		`INSERT INTO entry (run_id, file, result_id, label, label_from, trainee_id, note, present) VALUES (?, ?, ?, '', 'mat', ?, '', 1)`,
		`INSERT INTO spot_check (line, who, file, result_id, checked_at) VALUES (?, 'Cook', ?, ?, ?)`,
		`INSERT INTO override (photo_hash, piece, x_mm, y_mm, kind, reason, made_at) VALUES (?, 1, ?, ?, 'not-a-slice', 'a scrap', ?)`,
		`INSERT INTO tally (kind, name, photo, result_id, day, at, good, slices, missing, length_n, length_mean, length_sd, length_aim, width_n, width_mean, width_sd, width_aim, weight_n, weight_mean, weight_sd, weight_aim, thickness_n, thickness_mean)
			VALUES (?, ?, ?, ?, ?, ?, ?, ?, 0, ?, ?, 2, 80, ?, ?, 1, 34, ?, ?, 0.5, 11, ?, ?)`)
	if err != nil {
		return err
	}
	exec := func(i int, args ...any) {
		if err == nil {
			_, err = s[i].ExecContext(ctx, args...)
		}
	}
	for i := range w.size.Trainees {
		exec(0, i+1, Trainee(i))
	}
	for i := range w.size.Classes {
		day := w.heldOn(i)
		exec(1, i+1, Class(i), day.Format(time.DateOnly), day.Format(time.RFC3339))
		exec(2, i+1, i+1, w.asked, w.program, day.Format(time.RFC3339), day.Format(time.RFC3339))
	}
	for n := range w.size.All() {
		at, tray := w.at(n).UTC().Format(time.RFC3339), w.made(n)
		report, merr := json.Marshal(tray)
		if merr != nil {
			return merr
		}
		exec(3, n+1, photoHash(n), w.asked, w.program, string(report), at)
		kind, in, day := intake.Line, Line, w.at(n).Local().Format(time.DateOnly)
		if class, _ := w.tray(n); class >= 0 {
			exec(4, class+1, shown(n), n+1, n%w.size.Trainees+1)
			kind, in, day = intake.Class, Class(class), w.heldOn(class).Format(time.DateOnly)
		} else {
			exec(5, Line, shown(n), n+1, at)
		}
		first := tray.Pieces[0] // stands for the mean
		exec(7, kind, in, photoHash(n), n+1, day, at, slices-1, slices, slices, first.Length.X, slices, first.Width.X, slices, first.Weight.X, slices, first.Thickness.X)
		if n%97 == 0 {
			middle := tray.Pieces[0].Middle()
			exec(6, photoHash(n), middle[0], middle[1], at)
		}
	}
	return err
}

// shown is the name under which the book has tray n.
func shown(n int) string { return fmt.Sprintf("%04d %s", n+1, name(n)) }

// ID is that of tray n's shot.
func ID(n int) string { return fmt.Sprintf("%026d", n+1) }

func (w *writer) list(ctx context.Context, tx *sql.Tx) error {
	s, err := statements(ctx, tx,
		`INSERT INTO sent_to (kind, name, held_on, ticket) VALUES ('class', ?, ?, ?)`,
		`INSERT INTO shot (number, id, owner, who, kind, session, ticket, name, format, bytes, hash, received, state, result)
			VALUES (?, ?, ?, ?, ?, ?, ?, ?, 'jpg', 3000000, ?, ?, 'measured', ?)`)
	if err != nil {
		return err
	}
	for i := range w.size.Classes {
		if _, err := s[0].ExecContext(ctx, Class(i), w.heldOn(i).Format(time.DateOnly), w.told); err != nil {
			return err
		}
	}
	for i := range w.size.Exams() {
		if _, err := tx.ExecContext(ctx, `INSERT INTO sent_to (kind, name, held_on, ticket) VALUES ('exam', ?, '', ?)`, Exam(i), w.told); err != nil {
			return err
		}
	}
	for n := range w.size.All() {
		kind, session, who := intake.Line, Line, "Cook"
		owner := "chef/chef"
		if class, _ := w.tray(n); class >= 0 {
			kind, session, who = intake.Class, Class(class), Trainee(n%w.size.Trainees)
			owner = "trainee/" + who
		}
		at := w.at(n).UTC().Format(time.RFC3339Nano)
		if _, err := s[1].ExecContext(ctx, n+1, ID(n), owner, who, kind, session, w.told, name(n), photoHash(n), at, n+1); err != nil {
			return err
		}
	}
	return nil
}

// slices is how many a made-up tray holds.
const slices = 4

// made is a report as the program would give it, of slices that differ.
func (w *writer) made(n int) piece.Tray {
	t := piece.Tray{Photo: piece.Photo{File: name(n), WidthPx: 4032, HeightPx: 3024}, Status: piece.TrayMeasured, Standard: "nigiri", Species: "salmon",
		Mat: &piece.Mat{Name: "a4", TagsSeen: 12, TagsTotal: 12, PrintScale: 1, PxPerMM: 9}, Problems: []piece.Problem{}}
	for i := range slices {
		length, width := 79+3*w.random.NormFloat64(), 34+1.5*w.random.NormFloat64()
		p := piece.Piece{Number: i + 1, State: piece.Measured, Outline: outline(60, 30+40*float64(i), length, width),
			Length: piece.Of(length, 0.6), Width: piece.Of(width, 0.5), Area: piece.Of(0.9*length*width, 30), Thickness: piece.Of(4.2, 0.3),
			Weight: piece.Of(0.9*length*width*4.2*0.00105, 0.7), Cover: piece.Of(min(1, width/32), 0.01), Taper: piece.Of(0.9, 0), Verdict: piece.Pass}
		if length > 85 {
			high := 85.0
			p.Verdict, p.Faults = piece.Fail, []piece.Fault{{What: piece.Length.Key, Measured: length, High: &high, Advice: strings.Repeat("turn the knife. ", 4)}}
		}
		t.Pieces = append(t.Pieces, p)
	}
	return t
}

// outline is an oval of twelve corners, mm.
func outline(x, y, length, width float64) [][2]float64 {
	out := make([][2]float64, 12)
	for i := range out {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / 12)
		out[i] = [2]float64{math.Round(10*(x+length/2*cos)) / 10, math.Round(10*(y+width/2*sin)) / 10}
	}
	return out
}
