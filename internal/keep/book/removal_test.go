package book

import (
	"bytes"
	"database/sql"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"netagauge/internal/core/fatal"
	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/judge/exam"
	"netagauge/internal/judge/eye"
	"netagauge/internal/judge/standard"
	"netagauge/internal/judge/ticket"
	"netagauge/internal/judge/weight"
	"netagauge/internal/judge/yield"
	"netagauge/internal/keep/enginetest"
)

// What each column of the book may hold of a person, and so what Remove does with it.
// A new column must be put here before this test passes.
const (
	none  = "nobody"                      // numbers, kinds, times, hashes, what the kitchen asks
	row   = "goes with the row"           // of the person's own rows
	name  = "the name is taken away"      // the row stays
	text  = "the name is taken out of it" // free text
	act   = "has no name of a trainee"    // chained by hash: it stays
	given = "a name that the school gave" // to classes, tasks, exams
)

var columnsOf = map[string]map[string]string{
	"ticket":       {"hash": none, "standard": none, "json": text, "first_used": none},
	"result":       {"id": none, "photo_hash": row, "ticket_hash": none, "program": none, "status": none, "label": name, "problem": row, "report": text, "picture": row, "measured_at": row, "view": row},
	"session":      {"id": none, "name": given, "held_on": none, "created_at": none},
	"run":          {"id": none, "session_id": none, "ticket_hash": none, "program": none, "started_at": none, "finished_at": none, "changes": none, "graded_at": none},
	"trainee":      {"id": none, "name": row},
	"entry":        {"id": none, "run_id": none, "file": text, "result_id": none, "label": row, "label_from": none, "trainee_id": row, "note": none, "present": none},
	"pace":         {"id": none, "session_id": none, "trainee_id": row, "minutes": row, "entered_at": row},
	"grade":        {"run_id": none, "trainee_id": row, "percent": row},
	"override":     {"id": none, "photo_hash": row, "piece": none, "x_mm": none, "y_mm": none, "kind": none, "reason": text, "made_at": none, "who": name},
	"spot_check":   {"id": none, "line": none, "who": name, "file": text, "result_id": none, "checked_at": none},
	"remark":       {"id": none, "line": none, "photo": none, "who": name, "remark": text, "made_at": none},
	"repeat_check": {"id": none, "photos": none, "slices": none, "mat": none, "sd": none, "done_at": none},
	"tally":        {"kind": none, "name": given, "photo": row, "result_id": row, "day": none, "at": row, "good": row, "slices": row, "missing": row, "length_n": row, "length_mean": row, "length_sd": row, "length_aim": row, "width_n": row, "width_mean": row, "width_sd": row, "width_aim": row, "weight_n": row, "weight_mean": row, "weight_sd": row, "weight_aim": row, "thickness_n": row, "thickness_mean": row, "thickness_sd": row, "thickness_aim": row, "skew_n": row, "skew_mean": row, "skew_sd": row, "skew_aim": row}, // goes with the result
	"guess":        {"id": none, "token": row, "person": row, "card": none, "fish": none, "measure": none, "guess": row, "truth": none, "u": none, "within": none, "guessed_at": row},
	"cut_order":    {"id": none, "photo_hash": row, "numbers": none, "who": name, "told_at": none},
	"exam":         {"id": none, "name": given, "closed_at": none},
	"exam_act":     {"exam_id": none, "place": none, "act": act, "hash": none},
	"exam_name":    {"exam_id": none, "number": row, "name": row, "salt": row},
	"task":         {"name": given, "task": given, "made_at": none},
	"assignment":   {"class": given, "task": given, "reference": none},
	"block":        {"id": none, "species": none, "supplier": none, "cutter": name, "grams": none, "per_kg": none, "planned": none, "opened_at": none, "served": none, "served_grams": none, "left_grams": none, "closed_at": none, "remark": text},
	"handover":     {"id": none, "line": none, "who": name, "remark": text, "summary": text, "made_at": none},
}

func TestRemovalKnowsEveryColumn(t *testing.T) {
	all := enginetest.Columns(t, open4test(t).db)
	for _, c := range all {
		if columnsOf[c.Table][c.Name] == "" {
			t.Errorf("%s.%s: may it hold a person? Say so here, and see to it in Remove", c.Table, c.Name)
		}
	}
	seen := len(all)
	for of, columns := range columnsOf {
		seen -= len(columns)
		for c, is := range columns {
			if (is == name) != has(nameless, of, c) {
				t.Errorf("%s.%s: %s, and Remove's list says otherwise", of, c, is)
			}
			if is == text && !has(free, of, c) && of != "ticket" && of != "result" && c != "summary" {
				t.Errorf("%s.%s is free text that Remove does not read", of, c)
			}
		}
	}
	if seen != 0 {
		t.Errorf("%d columns more or less than are listed", seen)
	}
}

func has(all []column, of, c string) bool {
	for _, x := range all {
		if x == (column{of, c}) {
			return true
		}
	}
	return false
}

// forgotten is a name that nothing else has in it; invented.
const forgotten = "Zuzanna Q. Example"

// lived fills a book with what two trainees did, one of whom is to be forgotten.
func lived(t *testing.T, b *Book) (theirs, others Key, id int64) {
	t.Helper()
	ctx := t.Context()
	told := ticket.Ticket{Standard: standard.Default(), Species: "salmon", Profile: &weight.Profile{Species: "salmon", Cutter: forgotten}}
	hash, err := b.Ticket(ctx, told)
	fatal.If(t, err)
	run, err := b.Begin(ctx, "Monday", time.Date(2026, 11, 23, 0, 0, 0, 0, time.UTC), hash, "v1")
	fatal.If(t, err)
	keep := func(photo string) (Key, int64) {
		r := sample(photo + ".jpg")
		r.Facts = []piece.Fact{{What: "thickness", Value: "by the profile of " + forgotten, Says: phrase.Named("told-profile", forgotten)}}
		k := Key{Hash([]byte(photo)), hash, "v1"}
		id, err := b.Keep(ctx, k, r, Pictures{Annotated: []byte("drawn " + photo), View: []byte("seen " + photo)})
		fatal.If(t, err)
		return k, id
	}
	theirs, own := keep("theirs")
	others, another := keep("others")
	_, line := keep("line")
	for _, err := range []error{
		b.Finish(ctx, run.ID, []Entry{{Result: own, File: "0001 theirs.jpg", Trainee: forgotten}, {Result: another, File: "0002 others.jpg", Trainee: "Bo Test"}}),
		b.SetPace(ctx, run.Session, forgotten, 12), b.SetPace(ctx, run.Session, "Bo Test", 13),
		b.Override(ctx, theirs.Photo, piece.Override{Piece: 2, Kind: piece.CountIt, Reason: "own tray"}),
		b.Override(ctx, others.Photo, piece.Override{Piece: 2, Kind: piece.CountIt, Reason: "as ZUZANNA Q. EXAMPLE does; not Zuzanna Q. Examples", Who: forgotten}),
		b.TellOrder(ctx, theirs.Photo, []int{1, 2}, forgotten), b.TellOrder(ctx, others.Photo, []int{2, 1}, forgotten),
		b.AddRemark(ctx, "lunch", Remark{Photo: Hash([]byte("line")), Who: forgotten, Says: forgotten + ": new knife"}),
		b.AddGuess(ctx, eye.Guess{ID: "1", By: forgotten, At: time.Now()}), b.AddGuess(ctx, eye.Guess{ID: "1", By: "Bo Test", At: time.Now()}),
		once(b.AddHandover(ctx, Handover{Line: "lunch", By: forgotten, Remark: "ask " + forgotten, Summary: []phrase.Text{phrase.Named("shift-block", "tuna, "+forgotten)}, MadeAt: time.Now()})),
		once(b.OpenBlock(ctx, yield.Block{Species: "tuna", Cutter: forgotten, Remark: "by " + forgotten, Grams: 600, OpenedAt: time.Now()})),
	} {
		fatal.If(t, err)
	}
	if _, err := b.db.ExecContext(t.Context(), `UPDATE block SET remark = 'by `+forgotten+`'`); err != nil {
		t.Fatal(err)
	}
	if _, _, err := b.AddSpotCheck(ctx, SpotCheck{Result: line, Line: "lunch", Who: forgotten, File: "0003 line.jpg", CheckedAt: time.Now()}); err != nil {
		t.Fatal(err)
	}
	ungraded, err := b.Ungraded(ctx, Run{HeldOn: run.HeldOn.AddDate(1, 0, 0)})
	if err != nil || len(ungraded) != 1 {
		t.Fatal(ungraded, err)
	}
	fatal.If(t, b.KeepGrades(ctx, ungraded[0], map[string]float64{forgotten: 71, "Bo Test": 82}))
	return theirs, others, own
}

var person = Person{Name: forgotten, Photos: []PersonPhoto{{Hash: Hash([]byte("theirs")), Class: "Monday", File: "0001 theirs.jpg"}}}

// Nothing of a person is left in the book's file, not even as deleted bytes; of the
// others everything is.
func TestRemove(t *testing.T) {
	b, ctx := open4test(t), t.Context()
	theirs, others, own := lived(t, b)
	before := everybodyElse(t, b)
	held, err := b.Holds(ctx, person)
	fatal.If(t, err)
	if _, found, _ := b.Find(ctx, theirs); !found {
		t.Fatal("looking deleted it")
	}
	got, err := b.Remove(ctx, person)
	want := Removed{Results: 1, Guesses: 1, Grades: 1, Words: 14}
	if err != nil || got != want || held != want {
		t.Errorf("removed %+v, %v, and said %+v before; want %+v", got, err, held, want)
	}
	if labels, err := b.Labels(ctx, []int64{own}); len(labels) > 0 || err != nil {
		t.Error("their result is still there", err)
	}
	if _, found, _ := b.Find(ctx, others); !found {
		t.Error("another's result is gone")
	}
	if after := everybodyElse(t, b); after != before {
		t.Errorf("of the others there was\n%s\nand is\n%s", before, after)
	}
	var reason string
	b.db.QueryRowContext(t.Context(), `SELECT reason FROM override WHERE photo_hash = $1`, others.Photo).Scan(&reason)
	if reason != "as … does; not Zuzanna Q. Examples" {
		t.Errorf("a remark became %q", reason)
	}
	b.db.ExecContext(t.Context(), `UPDATE override SET reason = ''`)
	if again, err := b.Remove(ctx, person); err != nil || again.Any() {
		t.Errorf("done again: %+v, %v", again, err)
	}
	fatal.If(t, b.Scrub(ctx))
	if enginetest.Shared() {
		return // a server clears its files by itself, later
	}
	nothingOf(t, filepath.Dir(b.path), forgotten, "drawn theirs", "seen theirs", "0001 theirs.jpg", theirs.Photo)
}

// nothingOf reads every file of a folder as bytes.
func nothingOf(t *testing.T, dir string, marks ...string) {
	t.Helper()
	err := filepath.WalkDir(dir, func(path string, d os.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := os.ReadFile(path)
		for _, m := range marks {
			if bytes.Contains(bytes.ToLower(data), []byte(strings.ToLower(m))) {
				t.Errorf("%s still has %q", filepath.Base(path), m)
			}
		}
		return err
	})
	fatal.If(t, err)
}

// everybodyElse is what must stay to the letter.
func everybodyElse(t *testing.T, b *Book) string {
	t.Helper()
	var out strings.Builder
	file := `json_extract(report, '$.photo.file')`
	if enginetest.Shared() {
		file = `CAST(report AS JSON) #>> '{photo,file}'`
	}
	for _, q := range []string{
		`SELECT g.percent, t.name, p.minutes FROM grade g JOIN trainee t ON t.id = g.trainee_id JOIN pace p ON p.trainee_id = t.id WHERE t.name = 'Bo Test'`,
		`SELECT count(*), min(person) FROM guess WHERE person = 'Bo Test'`, `SELECT e.file, e.label, t.name FROM entry e JOIN trainee t ON t.id = e.trainee_id WHERE t.name = 'Bo Test'`,
		`SELECT count(*), min(line), min(result_id) FROM spot_check`, `SELECT count(*), min(species), min(grams) FROM block`,
		`SELECT ` + file + `, picture, view FROM result WHERE id > 1`, `SELECT count(*) FROM handover`,
		`SELECT photo_hash, numbers FROM cut_order WHERE numbers = '[2,1]'`, `SELECT count(*), min(photo) FROM remark`} {
		rows, err := b.db.QueryContext(t.Context(), q)
		fatal.If(t, err)
		columns, _ := rows.Columns()
		for rows.Next() {
			values, err := scan(rows, len(columns))
			fatal.If(t, err)
			fmt.Fprintln(&out, values...)
		}
		rows.Close()
	}
	return out.String()
}

// What others have, too, stays theirs: a photo that somebody else sent, a check of a
// line, an entry of another trainee.
func TestRemoveLeavesWhatIsShared(t *testing.T) {
	for what, with := range map[string]func(b *Book, own int64) Person{
		"sent by another": func(_ *Book, _ int64) Person {
			p := person
			p.Photos = []PersonPhoto{{Hash: person.Photos[0].Hash, Shared: true, Class: "Monday", File: "0001 theirs.jpg"}}
			return p
		},
		"of a line": func(b *Book, own int64) Person {
			b.AddSpotCheck(t.Context(), SpotCheck{Result: own, Line: "dinner", CheckedAt: time.Now()})
			return person
		},
		"another trainee's": func(b *Book, own int64) Person {
			b.Enter(t.Context(), 1, nil, []Entry{{Result: own, File: "0009 copy.jpg", Trainee: "Bo Test"}})
			return person
		},
	} {
		b := open4test(t)
		_, _, own := lived(t, b)
		p := with(b, own)
		if r, err := b.Remove(t.Context(), p); err != nil || r.Results != 0 {
			t.Errorf("%s: %+v, %v", what, r, err)
		}
		if labels, _ := b.Labels(t.Context(), []int64{own}); len(labels) == 0 {
			t.Errorf("%s: the result is gone", what)
		}
		var left int
		b.db.QueryRowContext(t.Context(), `SELECT count(*) FROM entry WHERE file = '0001 theirs.jpg'`).Scan(&left)
		if left != 0 {
			t.Errorf("%s: the person's own entry is still there", what)
		}
	}
}

// An exam keeps its record whole and loses the name, once it is closed.
func TestRemoveFromAnExam(t *testing.T) {
	b, ctx := open4test(t), t.Context()
	id, numbers, result := setUp(t, b, "Autumn")
	b.must(t, id, exam.Act{Kind: exam.Begun, By: "Mori"})
	fatal.If(t, b.SendTray(ctx, id, numbers["Aoi Test"], 1, result, time.Now()))
	aoi := Person{Name: "Aoi Test", Photos: []PersonPhoto{{Hash: Hash([]byte("Autumn"))}}} // sent to a class as well
	if _, err := b.Remove(ctx, aoi); !errors.Is(err, ErrInExam) {
		t.Errorf("while the exam runs: %v", err)
	}
	b.must(t, id, exam.Act{Kind: exam.Closed, By: "Mori"})
	if r, err := b.Remove(ctx, aoi); err != nil || r.Exams != 1 || r.Results != 0 {
		t.Errorf("%+v, %v", r, err)
	}
	if _, _, err := b.CheckExam(ctx, id); err != nil {
		t.Errorf("the record does not hold any more: %v", err)
	}
	if _, _, found, _ := b.ExamOf(ctx, "Aoi Test"); found {
		t.Error("the name is still there")
	}
	if _, _, found, _ := b.ExamOf(ctx, "Bo Test"); !found {
		t.Error("another's name is gone")
	}
}

// All or nothing: a removal that fails at the end has changed nothing.
func TestRemoveIsWhole(t *testing.T) {
	enginetest.FileOnly(t, "the trigger is SQLite's; that a transaction is whole is its engine's own test")
	b, ctx := open4test(t), t.Context()
	lived(t, b)
	dump := func() string {
		var out bytes.Buffer
		fatal.If(t, b.ExportJSON(ctx, &out))
		return out.String()
	}
	before := dump()
	if _, err := b.db.ExecContext(t.Context(), `CREATE TRIGGER full BEFORE UPDATE ON block BEGIN SELECT RAISE(ABORT, 'disk full'); END`); err != nil {
		t.Fatal(err)
	}
	if _, err := b.Remove(ctx, person); err == nil {
		t.Fatal("it did not fail")
	}
	if dump() != before {
		t.Error("half of it was done")
	}
	var none sql.NullString
	if err := b.db.QueryRowContext(t.Context(), `SELECT max(name) FROM trainee WHERE name = $1`, forgotten).Scan(&none); err != nil || !none.Valid {
		t.Error("the trainee is gone", err)
	}
}

func TestUnname(t *testing.T) {
	for _, x := range [][3]string{
		{"Bo cuts; bo, BO and Bora", "Bo", "… cuts; …, … and Bora"},
		{"鈴木さんの包丁", "鈴木", "…さんの包丁"},
		{"A good one", "A", "A good one"}, // a single letter is any word
		{"A. Lee (A.)", "A. Lee", "… (A.)"},
		{"Zoë's", "Zoë", "…'s"},
		{"nothing", "Bo", "nothing"},
	} {
		if got := Unname(x[0], x[1]); got != x[2] {
			t.Errorf("%q without %q is %q, want %q", x[0], x[1], got, x[2])
		}
	}
}
