package book

import (
	"netagauge/internal/core/fatal"
	"netagauge/internal/judge/standard"
	"netagauge/internal/judge/ticket"

	"bytes"
	"context"
	"encoding/csv"
	"encoding/json"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
	"time"

	"golang.org/x/sync/errgroup"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/judge/exam"
	"netagauge/internal/judge/eye"
	"netagauge/internal/judge/task"
	"netagauge/internal/judge/yield"
	"netagauge/internal/keep/enginetest"
	"netagauge/internal/tell/report"
)

func sample(file string) piece.Tray {
	return piece.Tray{
		Photo: piece.Photo{File: file, WidthPx: 4000, HeightPx: 3000}, Status: piece.TrayMeasured,
		Pieces: []piece.Piece{
			{Number: 1, State: piece.Measured, Outline: [][2]float64{{0, 0}, {80, 0}, {80, 35}}, Length: piece.Of(80, 0.4), Width: piece.Of(35, 0.4),
				Weight: piece.Of(12, 0), Cover: piece.Of(1, 0), Verdict: piece.Fail,
				Faults: []piece.Fault{{What: "length"}, {What: "width", Unsure: true}}},
			{Number: 2, State: piece.Foreign, Reason: "is a card"},
		},
	}
}

func TestMain(m *testing.M) { enginetest.Main(m) }

func open4test(t *testing.T) *Book {
	t.Helper()
	b, err := OpenAt(t.Context(), enginetest.Place(t))
	fatal.If(t, err)
	t.Cleanup(func() { b.Close() })
	return b
}

// fill puts one of everything into a book.
func fill(t *testing.T, b *Book) (Run, int64) {
	t.Helper()
	ctx := t.Context()
	hash, err := b.Ticket(ctx, ticket.Ticket{Standard: standard.Default()})
	fatal.If(t, err)
	run, err := b.Begin(ctx, "Monday", time.Date(2026, 11, 23, 0, 0, 0, 0, time.UTC), hash, "v1")
	fatal.If(t, err)
	k := Key{Hash([]byte("photo")), hash, "v1"}
	id, err := b.Keep(ctx, k, sample("tray.jpg"), Pictures{Annotated: []byte{0xff, 0xd8, 0xff}, View: []byte{0xff, 0xd8, 0xfe}})
	fatal.If(t, err)
	for _, err := range []error{
		b.Finish(ctx, run.ID, []Entry{{Result: id, File: "tray.jpg", Label: "07", LabelFrom: "mat", Trainee: `=cmd|'/c calc'!A1`}}),
		b.SetPace(ctx, run.Session, "Trainee 7", 12),
		b.Override(ctx, k.Photo, piece.Override{Piece: 2, Kind: piece.CountIt, Reason: "butterflied"}),
		b.AddRemark(ctx, "lunch", Remark{Photo: k.Photo, Who: "chef", Says: "new knife"}),
		b.AddRepeat(ctx, Repeat{Photos: 3, Slices: 5, Mat: "a4", SD: map[string]float64{"length_mm": 0.1}}),
		b.AddGuess(ctx, eye.Guess{ID: "1", By: "Trainee 7"}),
		b.SetTask(ctx, task.Task{Name: "Two of them", Slices: 2}),
		b.SetReference(ctx, "a class", "abc"),
		once(b.AddHandover(ctx, Handover{Line: "lunch", By: "Cook", MadeAt: time.Now()})),
		once(b.OpenBlock(ctx, yield.Block{Species: "tuna", Grams: 600, OpenedAt: time.Now()})),
	} {
		fatal.If(t, err)
	}
	fatal.If(t, b.SumUp(ctx, Tally{Kind: "class", Name: "Monday", Photo: k.Photo, Result: id, Day: "2026-11-23", At: run.HeldOn}))
	if _, _, err := b.AddSpotCheck(ctx, SpotCheck{Result: id, Line: "lunch", File: "tray.jpg", CheckedAt: time.Now()}); err != nil {
		t.Fatal(err)
	}
	ungraded, err := b.Ungraded(ctx, Run{HeldOn: run.HeldOn.AddDate(1, 0, 0)})
	fatal.If(t, err)
	for _, r := range ungraded {
		fatal.If(t, b.KeepGrades(ctx, r, map[string]float64{"Trainee 7": 80}))
	}
	fillExam(t, b, hash)
	if told, _ := b.Orders(ctx, []string{k.Photo}); told[k.Photo] == nil {
		fatal.If(t, b.TellOrder(ctx, k.Photo, nil, "Trainee 7"))
	}
	return run, id
}

// fillExam holds an exam once, to its end.
func fillExam(t *testing.T, b *Book, hash string) {
	t.Helper()
	id, err := b.SetUpExam(t.Context(), exam.Task{Name: "Autumn", Ticket: hash, Trays: 1, Slices: 1, Minutes: 30, Mark: 0.8}, "Mori", []string{"Trainee 7"})
	if _, there := phrase.In(phrase.English(), err); there {
		return
	}
	fatal.If(t, err)
	b.must(t, id, exam.Act{Kind: exam.Begun, By: "Mori"})
	b.must(t, id, exam.Act{Kind: exam.Closed, By: "Mori"})
}

func once(_ int64, err error) error { return err }

func TestKeepTwiceIsOnce(t *testing.T) {
	b := open4test(t)
	for range 2 {
		fill(t, b)
	}
	for _, table := range tables {
		var n int
		fatal.If(t, b.db.QueryRowContext(t.Context(), `SELECT count(*) FROM `+table.name).Scan(&n))
		want := map[string]int{"piece": 2, "trainee": 2, "repeat_check": 2, "handover": 2, "block": 2, "exam_act": 4}[table.name]
		if want == 0 {
			want = 1
		}
		if n != want {
			t.Errorf("%s has %d rows after the same work twice, want %d", table, n, want)
		}
	}
}

func TestReportComesBackWhole(t *testing.T) {
	b := open4test(t)
	_, id := fill(t, b)
	got, err := b.Report(t.Context(), id)
	fatal.If(t, err)
	var want, have bytes.Buffer
	fatal.If(t, report.JSON(&want, sample("tray.jpg")))
	fatal.If(t, report.JSON(&have, got))
	if want.String() != have.String() {
		t.Errorf("kept %s\nread %s", &want, &have)
	}
	jpeg, err := b.Picture(t.Context(), id)
	if err != nil || !bytes.Equal(jpeg, []byte{0xff, 0xd8, 0xff}) {
		t.Errorf("picture %x, %v", jpeg, err)
	}
	if jpeg, err = b.View(t.Context(), id); err != nil || !bytes.Equal(jpeg, []byte{0xff, 0xd8, 0xfe}) {
		t.Errorf("view %x, %v", jpeg, err)
	}
}

// A replaced or removed photo leaves its row but not the session.
func TestFinishKeepsRowsOfVanishedFiles(t *testing.T) {
	b := open4test(t)
	run, _ := fill(t, b)
	fatal.If(t, b.Finish(t.Context(), run.ID, nil))
	left, err := b.Entries(t.Context(), run.ID)
	if err != nil || len(left) != 0 {
		t.Errorf("entries %v, %v; want none", left, err)
	}
	var n int
	if err := b.db.QueryRowContext(t.Context(), `SELECT count(*) FROM entry`).Scan(&n); err != nil || n != 1 {
		t.Errorf("%d rows, %v; want the one that was there", n, err)
	}
}

// Reports of a run come back to the last digit.
func TestReportsAreUnrounded(t *testing.T) {
	b := open4test(t)
	ctx := t.Context()
	run, id := fill(t, b)
	hash, err := b.Ticket(ctx, ticket.Ticket{Standard: standard.Practice()})
	fatal.If(t, err)
	r := sample("third.jpg")
	p := &r.Pieces[0]
	for i, m := range piece.Measures { // no two numbers are alike: a swapped one shows
		v := float64(i + 1)
		*m.Of(p) = piece.Value{X: v + 1/3., U: v / 7, Known: true, Estimate: i%2 == 0, Source: m.Key}
	}
	third, err := b.Keep(ctx, Key{Hash([]byte("third")), hash, "v1"}, r, Pictures{})
	fatal.If(t, err)
	fatal.If(t, b.Enter(ctx, run.ID, nil, []Entry{{Result: third, File: "third.jpg", LabelFrom: "mat"}}))
	all, err := b.Reports(ctx, []int64{id, third})
	if err != nil || len(all) != 2 || len(all[id].Pieces) != 2 {
		t.Fatalf("%v, reports %+v", err, all)
	}
	if !reflect.DeepEqual(all[third], r) {
		t.Errorf("kept %+v\nread %+v", r, all[third])
	}
	// What people query says the same by name.
	for _, m := range piece.Measures {
		var got, u float64
		if err := b.db.QueryRowContext(t.Context(), `SELECT CAST(json ->> $1 AS DOUBLE PRECISION), CAST(json ->> $2 AS DOUBLE PRECISION) FROM piece WHERE result_id = $3 AND number = 1`, m.Column(), m.ColumnU(), third).Scan(&got, &u); err != nil || got != m.Of(p).X || u != m.Of(p).U {
			t.Errorf("%s is %g ± %g in the view, %v; want %g ± %g", m.Key, got, u, err, m.Of(p).X, m.Of(p).U)
		}
	}
}

func TestOpenRefuses(t *testing.T) {
	dir := t.TempDir()
	other := filepath.Join(dir, "notes.txt")
	fatal.If(t, os.WriteFile(other, []byte(strings.Repeat("not a database ", 100)), 0o644))
	newer := filepath.Join(dir, "newer.sqlite")
	b, err := Open(t.Context(), newer)
	fatal.If(t, err)
	if _, err := b.db.ExecContext(t.Context(), `INSERT INTO goose_db_version (version_id, is_applied) VALUES (999, 1)`); err != nil {
		t.Fatal(err)
	}
	b.Close()
	for path, want := range map[string]string{
		other:                                   "not a record book",
		newer:                                   "newer netagauge",
		filepath.Join(dir, "no", "such", "dir"): "cannot be opened",
	} {
		if _, err := Open(t.Context(), path); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: error %v, want one with %q", path, err, want)
		}
	}
	if text, err := os.ReadFile(other); err != nil || !strings.HasPrefix(string(text), "not a database") {
		t.Error("a file that is no book was changed")
	}
}

// Several programs may begin one book at the same moment.
func TestOpenAtOnce(t *testing.T) {
	path := filepath.Join(t.TempDir(), "b.sqlite")
	var all errgroup.Group
	for range 6 {
		all.Go(func() error {
			b, err := Open(t.Context(), path)
			if err != nil {
				return err
			}
			defer b.Close()
			_, err = b.Ticket(t.Context(), ticket.Ticket{})
			return err
		})
	}
	if err := all.Wait(); err != nil {
		t.Error(err)
	}
}

func TestExportJSONHoldsEverything(t *testing.T) {
	b := open4test(t)
	fill(t, b)
	var out bytes.Buffer
	fatal.If(t, b.ExportJSON(t.Context(), &out))
	var all map[string][]map[string]any
	if err := json.Unmarshal(out.Bytes(), &all); err != nil {
		t.Fatalf("%v\n%s", err, &out)
	}
	for _, table := range tables {
		if len(all[table.name]) == 0 {
			t.Errorf("table %s is missing", table.name)
		}
	}
	if got := all["trainee"][0]["name"]; got != `=cmd|'/c calc'!A1` {
		t.Errorf("name %q is not exact", got)
	}
}

func TestExportCSV(t *testing.T) {
	b := open4test(t)
	fill(t, b)
	dir := t.TempDir()
	fatal.If(t, b.ExportCSV(t.Context(), dir))
	for _, table := range tables {
		f, err := os.Open(filepath.Join(dir, table.name+".csv"))
		fatal.If(t, err)
		rows, err := csv.NewReader(f).ReadAll()
		f.Close()
		if err != nil || len(rows) < 2 {
			t.Errorf("%s: %d rows, %v", table.name, len(rows), err)
		}
		if table.name == "trainee" && rows[1][1] != `'=cmd|'/c calc'!A1` {
			t.Errorf("name %q is not guarded", rows[1][1])
		}
	}
	for _, file := range []string{"result-1.jpg", "view-1.jpg"} {
		if _, err := os.Stat(filepath.Join(dir, "pictures", file)); err != nil {
			t.Error(err)
		}
	}
}

// An empty book exports too.
func TestExportEmpty(t *testing.T) {
	b, err := Temporary(context.Background())
	fatal.If(t, err)
	defer b.Close()
	var out bytes.Buffer
	if err := b.ExportJSON(t.Context(), &out); err != nil || !json.Valid(out.Bytes()) {
		t.Errorf("%v: %s", err, &out)
	}
}

// A photo entered into a finished run takes the place of what its file had
// there, and leaves the others alone.
func TestEnterReplacesOneFile(t *testing.T) {
	b := open4test(t)
	run, id := fill(t, b)
	hash, err := b.Ticket(t.Context(), ticket.Ticket{Thickness: "5"})
	fatal.If(t, err)
	again, err := b.Keep(t.Context(), Key{Hash([]byte("photo")), hash, "v1"}, sample("tray.jpg"), Pictures{})
	fatal.If(t, err)
	for _, err := range []error{
		b.Enter(t.Context(), run.ID, []string{"other.jpg"}, []Entry{{Result: id, File: "other.jpg", LabelFrom: "mat"}}),
		b.Enter(t.Context(), run.ID, []string{"tray.jpg"}, []Entry{{Result: again, File: "tray.jpg", LabelFrom: "mat"}}),
	} {
		fatal.If(t, err)
	}
	got, err := b.Entries(t.Context(), run.ID)
	if err != nil || len(got) != 2 || got[0].Result != id || got[1].Result != again {
		t.Errorf("entries %+v, %v; want other.jpg with result %d and tray.jpg with %d", got, err, id, again)
	}
}
