package book

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"netagauge/internal/core/fatal"
	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/judge/exam"
	"netagauge/internal/judge/standard"
	"netagauge/internal/judge/ticket"
)

// Names are invented.
var examinees = []string{"Aoi Test", "Bo Test", "Chika Test"}

// setUp is an exam of three with a measured photo to send.
func setUp(t *testing.T, b *Book, name string) (id int64, numbers map[string]int, result int64) {
	t.Helper()
	ctx := t.Context()
	hash, err := b.Ticket(ctx, ticket.Ticket{Standard: standard.Default(), Species: "salmon"})
	fatal.If(t, err)
	id, err = b.SetUpExam(ctx, exam.Task{Name: name, Ticket: hash, Species: "salmon", Trays: 1, Slices: 1, Minutes: 30, Mark: 0.8, Close: true}, "Mori", examinees)
	fatal.If(t, err)
	if result, err = b.Keep(ctx, Key{Hash([]byte(name)), hash, "v1"}, sample("tray.jpg"), Pictures{}); err != nil {
		t.Fatal(err)
	}
	numbers = map[string]int{}
	for _, who := range examinees {
		exam, number, found, err := b.ExamOf(ctx, who)
		if err != nil || !found || exam != id || number < 100 || number > 999 {
			t.Fatalf("%s has number %d in exam %d, %v, %v", who, number, exam, found, err)
		}
		numbers[who] = number
	}
	return id, numbers, result
}

func (b *Book) must(t *testing.T, id int64, a exam.Act) {
	t.Helper()
	if err := b.ExamAct(t.Context(), id, func(e *exam.Exam) (exam.Act, error) {
		if a.Kind == exam.Closed {
			r := e.Results()
			a.Result = &r
		}
		return a, nil
	}); err != nil {
		t.Fatal(err)
	}
}

func TestExamIsKept(t *testing.T) {
	b, ctx := open4test(t), t.Context()
	id, numbers, result := setUp(t, b, "Autumn")
	aoi := numbers["Aoi Test"]
	if err := b.SendTray(ctx, id, aoi, 1, result, time.Now()); !errors.Is(err, exam.ErrNotBegun) {
		t.Errorf("a tray before the exam began: %v", err)
	}
	b.must(t, id, exam.Act{Kind: exam.Begun, By: "Mori"})
	for range 2 { // settling may be repeated
		fatal.If(t, b.SendTray(ctx, id, aoi, 1, result, time.Now()))
	}
	e, record, err := b.Exam(ctx, id)
	if err != nil || len(record) != 1+len(examinees)+2 || len(e.Trays) != 1 {
		t.Fatalf("%d acts, %d trays, %v", len(record), len(e.Trays), err)
	}
	photo := e.Trays[0].Photo
	for _, who := range []string{"Mori", "Sato"} {
		b.must(t, id, exam.Act{Kind: exam.Judged, By: who, Number: aoi, Place: 1, Photo: photo, Words: map[int]string{1: piece.SaidGood, 2: piece.NotASlice}})
	}
	var out bytes.Buffer
	if err := b.ExportJSON(ctx, &out); err != nil || strings.Contains(out.String(), "Aoi Test") {
		t.Errorf("%v; the export tells names while trays are judged", err)
	}
	b.must(t, id, exam.Act{Kind: exam.Closed, By: "Mori"})
	out.Reset()
	if err := b.ExportJSON(ctx, &out); err != nil || !strings.Contains(out.String(), "Aoi Test") {
		t.Errorf("%v; the export lacks the names of a closed exam", err)
	}
	if e, _, err = b.CheckExam(ctx, id); err != nil {
		t.Fatal(err)
	}
	if r, ok := e.Result(aoi); !ok || r.Good != 1 || r.Of != 1 || !r.Passes {
		t.Errorf("%+v", r)
	}
	names, err := b.ExamNames(ctx, id, e)
	if err != nil || len(names) != 3 || names[aoi] != "Aoi Test" {
		t.Errorf("%v, %v", names, err)
	}
	list, err := b.Exams(ctx, 0, 10)
	same(t, "list", list, []Listed{{id, "Autumn", true}}, err)
	for i, e := range record {
		for _, who := range examinees {
			if strings.Contains(e.Act, who) {
				t.Errorf("act %d names %s: %s", i+1, who, e.Act)
			}
		}
	}
}

// Whatever somebody changes in the file shows.
func TestExamShowsWhatWasChanged(t *testing.T) {
	for name, c := range map[string]struct{ sql, says string }{
		"a word":           {`UPDATE exam_act SET act = replace(act, 'said-again', 'said-good') WHERE act LIKE '%said-again%'`, "act 7 was changed"},
		"an act left out":  {`DELETE FROM exam_act WHERE place = 6`, "act 6 was changed"},
		"a hash":           {`UPDATE exam_act SET hash = substr(hash, 2) || 'a' WHERE place = 1`, "act 1 was changed"},
		"a measurement":    {`UPDATE result SET report = replace(report, '"verdict":"fail"', '"verdict":"pass"')`, "measurements of tray 1"},
		"the photo":        {`UPDATE result SET photo_hash = 'x'`, "measurements of tray 1"},
		"the standard":     {`UPDATE ticket SET json = replace(json, 'salmon', 'tuna')`, "changed after it was sealed"},
		"a name":           {`UPDATE exam_name SET name = 'Somebody' WHERE name = 'Bo Test'`, "is not the one that was entered"},
		"names exchanged":  {`UPDATE exam_name SET number = number + 1000`, "is not the one that was entered"},
		"nothing":          {`SELECT 1`, ""},
		"one name deleted": {`DELETE FROM exam_name WHERE name = 'Bo Test'`, ""},
	} {
		b, ctx := open4test(t), t.Context()
		id, numbers, result := setUp(t, b, "Autumn")
		b.must(t, id, exam.Act{Kind: exam.Begun, By: "Mori"})
		fatal.If(t, b.SendTray(ctx, id, numbers["Bo Test"], 1, result, time.Now()))
		e, _, err := b.Exam(ctx, id)
		fatal.If(t, err)
		b.must(t, id, exam.Act{Kind: exam.Judged, By: "Mori", Number: e.Trays[0].Number, Place: 1, Photo: e.Trays[0].Photo, Words: map[int]string{1: piece.SaidAgain, 2: piece.NotASlice}})
		if _, err := b.db.ExecContext(t.Context(), c.sql); err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		_, _, err = b.CheckExam(ctx, id)
		if c.says == "" && err != nil || c.says != "" && (err == nil || !strings.Contains(err.Error(), c.says)) {
			t.Errorf("%s: %v, want %q", name, err, c.says)
		}
	}
}

func TestExamNamesAreTaken(t *testing.T) {
	b := open4test(t)
	id, _, _ := setUp(t, b, "Autumn")
	_, err := b.SetUpExam(t.Context(), exam.Task{Name: "Autumn", Ticket: "x", Trays: 1, Slices: 1, Minutes: 30, Mark: 0.8}, "Mori", nil)
	if says, ok := phrase.In(phrase.English(), err); !ok || !strings.Contains(says, "take another name") {
		t.Errorf("a second exam of the name: %v", err)
	}
	_, err = b.SetUpExam(t.Context(), exam.Task{Name: "Winter", Ticket: "x", Trays: 0, Slices: 1, Minutes: 30, Mark: 0.8}, "Mori", examinees)
	if _, ok := phrase.In(phrase.English(), err); !ok {
		t.Errorf("an exam without a tray: %v", err)
	}
	if l, err := b.Exams(t.Context(), 0, 10); err != nil || len(l) != 1 || l[0].ID != id {
		t.Errorf("%v, %v: what was refused is there", l, err)
	}
	if _, _, err := b.Exam(t.Context(), 99); !errors.Is(err, ErrNoExam) {
		t.Error(err)
	}
	if _, err := b.ExamNamed(t.Context(), "Winter"); !errors.Is(err, ErrNoExam) {
		t.Error(err)
	}
}

// Acts that come at once are all there, one behind the other.
func TestExamActsTakeTurns(t *testing.T) {
	b := open4test(t)
	id, numbers, result := setUp(t, b, "Autumn")
	b.must(t, id, exam.Act{Kind: exam.Begun, By: "Mori"})
	var all sync.WaitGroup
	errs := make(chan error, 30)
	for i := range cap(errs) {
		all.Go(func() {
			errs <- b.ExamAct(context.Background(), id, func(*exam.Exam) (exam.Act, error) {
				return exam.Act{Kind: exam.Sent, Number: numbers[examinees[i%3]], Tray: &exam.Tray{Place: 1, Photo: fmt.Sprint(i), Result: result}}, nil
			})
		})
	}
	all.Wait()
	for range cap(errs) {
		if err := <-errs; err != nil {
			t.Error(err)
		}
	}
	_, record, err := b.Exam(t.Context(), id)
	if err != nil || len(record) != 5+30 {
		t.Errorf("%d acts, %v", len(record), err)
	}
}

// Numbers are drawn, and tell nothing of the order in which people were entered.
func TestNumbersAreDrawn(t *testing.T) {
	b, ctx := open4test(t), t.Context()
	var names []string
	for i := range 60 {
		names = append(names, fmt.Sprintf("Trainee %02d", i))
	}
	var orders [][]int
	for _, name := range []string{"one", "two"} {
		id, err := b.SetUpExam(ctx, exam.Task{Name: name, Ticket: "x", Trays: 1, Slices: 1, Minutes: 30, Mark: 0.8}, "Mori", names)
		fatal.If(t, err)
		var order []int
		for _, n := range names {
			got, number, _, err := b.ExamOf(ctx, n)
			if err != nil || got != id {
				t.Fatal(got, err)
			}
			order = append(order, number)
		}
		if sorted := slices.Sorted(slices.Values(order)); slices.Equal(sorted, order) || len(slices.Compact(sorted)) != len(names) {
			t.Errorf("numbers %v", order)
		}
		orders = append(orders, order)
	}
	if slices.Equal(orders[0], orders[1]) {
		t.Error("the same people have the same numbers again")
	}
}
