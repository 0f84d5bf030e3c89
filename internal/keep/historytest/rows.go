package historytest

import (
	"context"
	"database/sql"
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"time"

	"netagauge/internal/core/piece"
	"netagauge/internal/keep/book"
	"netagauge/internal/keep/intake"
)

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
