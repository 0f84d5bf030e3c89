package board

import (
	"context"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
	"time"

	"netagauge/internal/core/fatal"
	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/judge/standard"
	"netagauge/internal/judge/ticket"
	"netagauge/internal/keep/book"
	"netagauge/internal/work/class"
	"netagauge/internal/work/record"
)

// lesson runs an invented class through the book: for each trainee the lengths
// of the slices on one tray, held against the default standard of 75 to 85 mm.
func lesson(t *testing.T, b *book.Book, name string, day time.Time, trays map[string][]float64) Board {
	t.Helper()
	ctx := t.Context()
	job := ticket.Ticket{Standard: standard.Default()}
	hash, err := b.Ticket(ctx, job)
	fatal.If(t, err)
	run, err := b.Begin(ctx, name, day, hash, "v1")
	fatal.If(t, err)
	dir := t.TempDir()
	photos, _, _ := strings.Cut(name, ", again") // those of the class that is held once more
	for who := range trays {
		fatal.If(t, os.WriteFile(filepath.Join(dir, who+".jpg"), []byte(who+photos), 0o644))
	}
	found, err := class.Trays(dir)
	fatal.If(t, err)
	check := func(_ context.Context, t record.Tray) (record.Result, error) {
		r := piece.Tray{Status: piece.TrayMeasured}
		for i, l := range trays[strings.TrimSuffix(t.First.Name, ".jpg")] {
			p := piece.Piece{Number: i + 1, State: piece.Measured, Length: piece.Of(l, 0), Width: piece.Of(35, 0), Cover: piece.Of(1, 0), Area: piece.Of(35*l, 0)}
			job.Standard.Judge(&p, "")
			r.Pieces = append(r.Pieces, p)
		}
		return record.Result{Report: r}, nil
	}
	if _, err := (class.Job{Recorder: record.Recorder{Book: b, Program: "v1", Measure: check}, Folder: dir, Trays: found, Run: run, Ticket: job, Workers: 1}).Do(ctx); err != nil {
		t.Fatal(err)
	}
	out, err := Load(ctx, b, run)
	fatal.If(t, err)
	return out
}

func open(t *testing.T) *book.Book {
	t.Helper()
	b, err := book.Temporary(t.Context())
	fatal.If(t, err)
	t.Cleanup(func() { b.Close() })
	return b
}

func day(n int) time.Time { return time.Date(2026, 11, n, 0, 0, 0, 0, time.UTC) }

// Aki and Ben cut 2 and 3 of 5 too short, Cho 1 of 5, less than a quarter: the
// fault is shared by 2 of 3, and 6 slices have it.
func TestSharedFault(t *testing.T) {
	b := lesson(t, open(t), "monday", day(23), map[string][]float64{
		"aki": {70, 71, 80, 80, 80}, "ben": {70, 71, 72, 80, 90}, "cho": {70, 80, 80, 80, 80}})
	if len(b.Faults) != 2 || b.Faults[0].Fault != "short" || b.Faults[0].Slices != 6 || fmt.Sprint(b.Faults[0].Trainees) != "[aki ben]" {
		t.Errorf("faults %+v", b.Faults)
	}
	if got := phrase.English().Must(b.ShowAgain()); !strings.Contains(got, "With 2 of 3 trainees a quarter or more of the slices are too short") || !strings.Contains(got, "more along the block") {
		t.Errorf("show again: %s", got)
	}
	if b.Trainees[1].Count.Good != 1 || b.Trainees[1].Count.Measured() != 5 || b.Trainees[1].Shares["length"] != 0.2 {
		t.Errorf("ben: %+v", b.Trainees[1])
	}
	if got := b.Missing([]string{"aki", "dee"}); len(got) != 1 || got[0] != "dee" {
		t.Errorf("missing %v", got)
	}
}

func TestNoFault(t *testing.T) {
	b := lesson(t, open(t), "monday", day(23), map[string][]float64{"aki": {80, 81, 80, 80, 80}})
	if got := phrase.English().Must(b.ShowAgain()); got != "No slice fails the standard." {
		t.Error(got)
	}
}

// The trend looks back only: at the last session before, not at one after, also
// when an old session is run again or two are on one day.
func TestTrendLooksBack(t *testing.T) {
	b := open(t)
	bad, good := []float64{70, 70, 70, 70, 70}, []float64{80, 80, 80, 80, 80}
	lesson(t, b, "first", day(2), map[string][]float64{"aki": bad})
	second := lesson(t, b, "second", day(9), map[string][]float64{"aki": good, "ben": good})
	lesson(t, b, "third, same day", day(9), map[string][]float64{"aki": bad})
	// All but the 20 points for length are the same: of 75 to be had without
	// weight and pace, 55 and 75.
	if change, known := second.Trainees[0].Trend(); !known || change < 26.6 || change > 26.7 {
		t.Errorf("trend %g, %v; want 100 − 100·55/75", change, known)
	}
	if _, known := second.Trainees[1].Trend(); known {
		t.Error("ben was there for the first time")
	}
	lesson(t, b, "fourth", day(16), map[string][]float64{"aki": good})
	if change, known := lesson(t, b, "fifth", day(23), map[string][]float64{"aki": good}).Trainees[0].Trend(); !known || change != 0 {
		t.Errorf("trend %g, %v; want that since the fourth session, not the first", change, known)
	}
	again := lesson(t, b, "second", day(9), map[string][]float64{"aki": good, "ben": good})
	if n := len(again.Trainees[0].Past); n != 1 {
		t.Errorf("%d sessions before the second, want 1", n)
	}
}

// A photo that counted last week is told of in this week's class, and not in last week's.
func TestPhotoOfAnEarlierClass(t *testing.T) {
	b := open(t)
	lesson(t, b, "monday", day(16), map[string][]float64{"aki": {80}, "ben": {80}})
	now := lesson(t, b, "monday, again", day(23), map[string][]float64{"aki": {80}, "cho": {80}})
	if len(now.Warnings) != 1 || phrase.English().Must(now.Warnings[0]) != `"aki.jpg" counts in the class monday of 2026-11-16, too: take it out of one of them` {
		t.Errorf("warnings %v", now.Warnings)
	}
	if before := lesson(t, b, "monday", day(16), map[string][]float64{"aki": {80}, "ben": {80}}); len(before.Warnings) != 0 {
		t.Errorf("the class before warns, too: %v", before.Warnings)
	}
	lesson(t, b, "noon", day(24), map[string][]float64{"dee": {80}}) // of two on one day the one begun first is before
	lesson(t, b, "noon, again", day(24), map[string][]float64{"dee": {80}})
	if first := lesson(t, b, "noon", day(24), map[string][]float64{"dee": {80}}); len(first.Warnings) != 0 {
		t.Errorf("the first class of a day warns of the second: %v", first.Warnings)
	}
}

// Whether anybody looked at how phone and mat repeat themselves is said, with
// ISO 5725-6's limit, 2.8 times the standard deviation.
func TestRepeats(t *testing.T) {
	b := open(t)
	trays := map[string][]float64{"Aoi": {80, 81, 79}}
	if says := phrase.English().Must(lesson(t, b, "monday", day(25), trays).Repeats()); !strings.Contains(says, "Nobody has checked") {
		t.Errorf("without a comparison: %q", says)
	}
	fatal.If(t, b.AddRepeat(t.Context(), book.Repeat{Photos: 3, Slices: 6, Mat: "a4", SD: map[string]float64{"length_mm": 0.25, "width_mm": 0.1}}))
	says := phrase.English().Must(lesson(t, b, "tuesday", day(26), trays).Repeats())
	if !strings.Contains(says, "by 3 photos of one tray of 6 slices: two photos differ by less than 0.7 mm in length and 0.3 mm in width") {
		t.Errorf("with one: %q", says)
	}
}

// What is kept of an earlier session is what its photos give now: a decision, or
// minutes, that come later change the trend, as if all were read again.
func TestTrendFollowsLaterChanges(t *testing.T) {
	b := open(t)
	first := lesson(t, b, "first", day(2), map[string][]float64{"aki": {70, 80, 80, 80, 80}, "ben": {80, 80, 80, 80, 80}})
	second := lesson(t, b, "second", day(9), map[string][]float64{"aki": {80, 80, 80, 80, 80}})
	past := func() (Board, float64) {
		t.Helper()
		out, err := Load(t.Context(), b, book.Run{ID: runOf(t, b, "second"), Name: "second", HeldOn: day(9)})
		if err != nil || len(out.Past) != 1 || len(out.Trainees[0].Past) != 1 {
			t.Fatalf("%v, past %+v", err, out.Past)
		}
		return out, out.Trainees[0].Past[0].Percent
	}
	mean, _ := first.MeanGrade()
	if got := second.Past[0].Percent; math.Abs(got-mean) > 1e-9 {
		t.Errorf("the class had %g, kept as %g", mean, got)
	}
	_, before := past()
	photo := book.Hash([]byte("akifirst"))
	fatal.If(t, b.Override(t.Context(), photo, piece.Override{Piece: 1, Kind: piece.NotASlice, Reason: "a scrap"}))
	_, after := past()
	if after <= before {
		t.Errorf("without the short slice aki had %g, before %g", after, before)
	}
}

func runs(t *testing.T, b *book.Book) []book.Run {
	t.Helper()
	runs, err := b.History(t.Context(), day(30))
	fatal.If(t, err)
	return runs
}

func runOf(t *testing.T, b *book.Book, session string) int64 {
	t.Helper()
	for _, r := range runs(t, b) {
		if r.Name == session {
			return r.ID
		}
	}
	t.Fatalf("no run of %q", session)
	return 0
}

// A loader that draws a board again gives the same board, and reads no report twice.
func TestLoaderReadsOnce(t *testing.T) {
	b := open(t)
	lesson(t, b, "monday", day(23), map[string][]float64{"aki": {70, 80, 80, 80, 80}, "ben": {80, 80, 80, 80, 80}})
	run := runs(t, b)[0]
	l := &Loader{Book: b}
	once, err := l.Load(t.Context(), run)
	fatal.If(t, err)
	if n := len(l.reports); n != 2 {
		t.Errorf("%d reports are remembered", n)
	}
	for id := range l.reports { // nobody reads what is known
		r := l.reports[id]
		r.Species = "remembered"
		l.reports[id] = r
	}
	again, err := l.Load(t.Context(), run)
	if err != nil || !reflect.DeepEqual(once, again) {
		t.Errorf("%v: once %+v\nagain %+v", err, once, again)
	}
	for _, r := range l.reports {
		if r.Species != "remembered" {
			t.Error("a report was read again")
		}
	}
	for what, change := range map[string]func() error{
		"a decision": func() error {
			return b.Override(t.Context(), book.Hash([]byte("akimonday")), piece.Override{Piece: 1, Kind: piece.NotASlice, Reason: "a scrap"})
		},
		"minutes": func() error { return b.SetPace(t.Context(), runs(t, b)[0].Session, "ben", 12) },
	} {
		fatal.If(t, change())
		now, err := l.Load(t.Context(), run)
		if fresh, ferr := Load(t.Context(), b, run); err != nil || ferr != nil || !reflect.DeepEqual(now, fresh) || reflect.DeepEqual(now, again) {
			t.Errorf("after %s: %v, %v, %+v\nread afresh %+v", what, err, ferr, now, fresh)
		}
		again = now
	}
}
