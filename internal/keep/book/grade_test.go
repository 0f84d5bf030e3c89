package book

import (
	"testing"
	"time"

	"netagauge/internal/core/fatal"
	"netagauge/internal/core/piece"
	"netagauge/internal/judge/ticket"
)

// The grades of a run hold until something changes that they rest on: a decision, a
// photo, minutes. What changed while they were reckoned leaves them unkept. The same
// said again changes nothing that counts.
func TestGradesHoldUntilAChange(t *testing.T) {
	b, ctx := open4test(t), t.Context()
	run, id := fill(t, b)
	later := Run{Name: "Tuesday", HeldOn: run.HeldOn.AddDate(0, 0, 1)}
	ungraded := func() []Run {
		t.Helper()
		runs, err := b.Ungraded(ctx, later)
		fatal.If(t, err)
		return runs
	}
	entry := Entry{Result: id, File: "tray.jpg", Label: "07", LabelFrom: "mat", Trainee: "Trainee 7"}
	for what, change := range map[string]func() error{
		"a decision": func() error {
			return b.Override(ctx, JoinHashes(Hash([]byte("photo")), Hash([]byte("second"))), piece.Override{Piece: 1, Kind: piece.NotASlice, Reason: "a scrap"})
		},
		"a photo":    func() error { return b.Enter(ctx, run.ID, []string{"tray.jpg"}, []Entry{entry}) },
		"all photos": func() error { return b.Finish(ctx, run.ID, []Entry{entry}) },
		"minutes":    func() error { return b.SetPace(ctx, run.Session, "Trainee 7", 30) },
	} {
		if n := len(ungraded()); n != 0 {
			t.Fatalf("before %s: %d runs are not graded", what, n)
		}
		fatal.If(t, change())
		before := ungraded()
		if len(before) != 1 || before[0].ID != run.ID || before[0].Name != "Monday" || !before[0].HeldOn.Equal(run.HeldOn) {
			t.Fatalf("after %s: not graded %+v", what, before)
		}
		if err := b.SetPace(ctx, run.Session, "Trainee 8", float64(len(what))); err != nil { // meanwhile
			t.Fatal(err)
		}
		if err := b.KeepGrades(ctx, before[0], map[string]float64{"Trainee 7": 1}); err != nil || len(ungraded()) != 1 {
			t.Errorf("after %s: what changed meanwhile is taken for graded, %v", what, err)
		}
		fatal.If(t, b.KeepGrades(ctx, ungraded()[0], map[string]float64{"Trainee 7": 70}))
	}
	want := []Graded{{"Monday", run.HeldOn, "Trainee 7", 70}}
	for _, who := range []string{"", "Trainee 7"} {
		got, err := b.Grades(ctx, later, who)
		same(t, "grades of "+who, got, want, err)
	}
	for _, none := range []struct {
		before Run
		who    string
	}{{later, "Trainee 8"}, {run, ""}, {Run{Name: "Friday", HeldOn: run.HeldOn}, ""}} {
		if got, err := b.Grades(ctx, none.before, none.who); err != nil || len(got) > 0 {
			t.Errorf("before %s of %s: %+v, %v", none.before.Name, none.who, got, err)
		}
	}
}

// A span of a line's checks: those since a time, before a check, the latest; a photo
// that was measured anew is one check.
func TestSpans(t *testing.T) {
	b, ctx := open4test(t), t.Context()
	_, id := fill(t, b)
	report, err := b.Report(ctx, id)
	fatal.If(t, err)
	asked, err := b.Ticket(ctx, ticket.Ticket{Thickness: "4.1"})
	fatal.If(t, err)
	noon := time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC)
	var ids []int64
	for i := range 6 {
		photo := Hash([]byte{byte(i)})
		if i == 5 {
			photo = JoinHashes(Hash([]byte{1}), Hash([]byte("second"))) // of the second check
		}
		result, err := b.Keep(ctx, Key{photo, asked, "v1"}, report, Pictures{})
		fatal.If(t, err)
		if _, _, err := b.AddSpotCheck(ctx, SpotCheck{Result: result, Line: "dinner", CheckedAt: noon.Add(time.Duration(i) * time.Hour)}); err != nil {
			t.Fatal(err)
		}
		ids = append(ids, result)
	}
	of := func(w Span) (out []int64, last int64) {
		t.Helper()
		checks, err := b.SpotChecks(ctx, "dinner", w)
		fatal.If(t, err)
		for _, c := range checks {
			out, last = append(out, c.Result), c.ID
		}
		return out, last
	}
	all, last := of(Span{})
	same(t, "all", all, []int64{ids[0], ids[2], ids[3], ids[4], ids[5]}, nil)
	for what, x := range map[string]struct {
		which Span
		want  []int64
	}{
		"the last two":          {Span{Last: 2}, []int64{ids[4], ids[5]}},
		"since two o'clock":     {Span{Since: noon.Add(2 * time.Hour).Local()}, []int64{ids[2], ids[3], ids[4], ids[5]}},
		"before the last":       {Span{Before: last}, []int64{ids[0], ids[2], ids[3], ids[4]}},
		"two before the last":   {Span{Before: last, Last: 2}, []int64{ids[3], ids[4]}},
		"before one of no line": {Span{Before: 99}, nil},
	} {
		got, _ := of(x.which)
		same(t, what, got, x.want, nil)
	}
}
