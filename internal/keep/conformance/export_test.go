package conformance

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"testing/cryptotest"
	"testing/synctest"
	"time"

	"netagauge/internal/core/fatal"
	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/judge/evidence"
	"netagauge/internal/judge/exam"
	"netagauge/internal/judge/eye"
	"netagauge/internal/judge/task"
	"netagauge/internal/judge/yield"
	"netagauge/internal/keep/book"
	"netagauge/internal/keep/database"
	"netagauge/internal/keep/enginetest"
	"netagauge/internal/keep/postgrestest"
)

// What the same people did comes out of either engine byte for byte: JSON and CSV, with
// the clock and the dice the same.
func TestExportsAreEqual(t *testing.T) {
	if enginetest.Shared() {
		t.Skip("it is about both engines, and was run before")
	}
	s := postgrestest.Start(t)
	schema := s.Schema(t)
	file, server := t.TempDir(), t.TempDir()
	exported(t, file, func(context.Context) (database.Place, func()) {
		return database.File(filepath.Join(file, "book.sqlite")), func() {}
	})
	exported(t, server, func(ctx context.Context) (database.Place, func()) {
		at, err := database.Connect(ctx, s.URL())
		fatal.If(t, err)
		return at.Schema(schema), at.Close
	})
	names := must(filepath.Glob(filepath.Join(file, "out", "*")))(t)
	pictures := must(filepath.Glob(filepath.Join(file, "out", "pictures", "*")))(t)
	if len(names) < 24 || len(pictures) != 4 {
		t.Errorf("only %d files and %d pictures", len(names), len(pictures))
	}
	for _, path := range append(names, pictures...) {
		if info := must(os.Stat(path))(t); info.IsDir() {
			continue
		}
		short, _ := filepath.Rel(file, path)
		a, b := must(os.ReadFile(path))(t), must(os.ReadFile(filepath.Join(server, short)))(t)
		if !bytes.Equal(a, b) {
			t.Errorf("%s differs:\n%s\nand\n%s", short, a, b)
		}
		if bytes.Count(a, []byte("\n")) < 2 && filepath.Ext(path) == ".csv" {
			t.Errorf("%s is empty", short)
		}
	}
}

// exported fills a book at a place and exports it, at the beginning of the clock.
func exported(t *testing.T, dir string, at func(context.Context) (database.Place, func())) {
	t.Helper()
	cryptotest.SetGlobalRandom(t, 7)
	synctest.Test(t, func(t *testing.T) {
		place, done := at(t.Context())
		defer done()
		b := must(book.OpenAt(t.Context(), place))(t)
		defer b.Close()
		for range 2 { // some of it is there already
			everything(t, b)
		}
		out := filepath.Join(dir, "out")
		fatal.If(t, b.ExportCSV(t.Context(), out))
		var all bytes.Buffer
		fatal.If(t, b.ExportJSON(t.Context(), &all))
		fatal.If(t, os.WriteFile(filepath.Join(out, "all.json"), all.Bytes(), 0o600))
	})
}

// everything puts rows into every table, by the book's methods.
func everything(t *testing.T, b *book.Book) {
	t.Helper()
	ctx := t.Context()
	ok := func(errs ...error) {
		t.Helper()
		for _, err := range errs {
			fatal.If(t, err)
		}
	}
	hash := must(b.Ticket(ctx, told()))(t)
	var ids []int64
	var entries []book.Entry
	for i, name := range mixed {
		k := book.Key{Photo: book.Hash([]byte(name)), Ticket: hash, Program: program}
		p := book.Pictures{}
		if i < 2 {
			p = book.Pictures{Annotated: []byte{0xff, 0xd8, byte(i)}, View: []byte{0xff, 0xd8, 0, byte(i)}}
		}
		id := must(b.Keep(ctx, k, report(name), p))(t)
		ids = append(ids, id)
		entries = append(entries, book.Entry{Result: id, File: name, Label: "07", LabelFrom: "mat", Trainee: name, Note: phrase.Of("note-again", float64(i))})
		ok(b.Override(ctx, k.Photo, piece.Override{Piece: 1, At: [2]float64{1 / 3., 1e21}, Kind: piece.CountIt, Reason: "=1+1 " + name, Who: name}),
			b.AddRemark(ctx, "lunch", book.Remark{Photo: k.Photo, Who: name, Says: "known: " + name}), b.TellOrder(ctx, k.Photo, []int{2, 1}, name),
			b.AddGuess(ctx, eye.Guess{ID: "1", By: name, Guess: 1e-7 * float64(i), Truth: 1 / 7., U: 0.1 + 0.2, At: monday}), b.SetTask(ctx, task.Task{Name: name, Slices: 2}),
			b.KeepTally(ctx, book.Tally{Kind: "class", Name: "Monday", Photo: k.Photo, Result: id, Day: "2026-11-23", At: monday, Good: i, Slices: i + 1, Of: map[*piece.Measure]book.Spread{piece.Length: {Spread: evidence.Spread{N: 2, Mean: 80 + 1/3., SD: 0.1}, Aim: 80}}}),
			b.Assign(ctx, name, task.Task{Name: name, Slices: 2}))
		_, _, err := b.AddSpotCheck(ctx, book.SpotCheck{Result: id, Line: "lunch", Who: name, File: name, CheckedAt: monday.Add(time.Duration(i) * time.Minute)})
		ok(err)
	}
	run := must(b.Begin(ctx, "Monday", monday, hash, program))(t)
	ok(b.Finish(ctx, run.ID, entries), b.SetPace(ctx, run.Session, mixed[0], 12.5), b.SetReference(ctx, "a class", "abc"),
		b.AddRepeat(ctx, book.Repeat{Photos: 3, Slices: 5, Mat: "a4", SD: map[string]float64{"length_mm": 0.1}}))
	for _, r := range must(b.Ungraded(ctx, book.Run{HeldOn: monday.AddDate(1, 0, 0)}))(t) {
		ok(b.KeepGrades(ctx, r, map[string]float64{mixed[0]: 80, mixed[1]: 200 / 3.}))
	}
	block := must(b.OpenBlock(ctx, yield.Block{Species: "tuna", Grams: 600, PerKg: 12.34, OpenedAt: monday}))(t)
	ok(b.CloseBlock(ctx, yield.Block{ID: block, Species: "tuna", Grams: 600, Served: 30, ServedGrams: 400, OpenedAt: monday, ClosedAt: monday.Add(time.Hour)}))
	must(b.OpenBlock(ctx, yield.Block{Species: "鯛", Grams: 1200, OpenedAt: monday}))(t)
	must(b.AddHandover(ctx, book.Handover{Line: "lunch", By: "Cook", Summary: []phrase.Text{phrase.Named("shift-block", "tuna")}, MadeAt: monday}))(t)
	name := fmt.Sprintf("Autumn %d", block)
	id := must(b.SetUpExam(ctx, exam.Task{Name: name, Ticket: hash, Trays: 1, Slices: 1, Minutes: 30, Mark: 0.8}, "Mori", []string{"Aoi", "Bo"}))(t)
	ok(b.ExamAct(ctx, id, func(*exam.Exam) (exam.Act, error) { return exam.Act{Kind: exam.Begun, By: "Mori"}, nil }))
	_, number, _, err := b.ExamOf(ctx, "Aoi")
	ok(err, b.SendTray(ctx, id, number, 1, ids[0], time.Now()))
	ok(b.ExamAct(ctx, id, func(e *exam.Exam) (exam.Act, error) {
		r := e.Results()
		return exam.Act{Kind: exam.Closed, By: "Mori", Result: &r}, nil
	}))
}
