package intake

import (
	"slices"
	"sync"
	"testing"
	"time"

	"netagauge/internal/core/fatal"
	"netagauge/internal/core/piece"
	"netagauge/internal/keep/book"
)

// Trays that are settled at once end as each by itself would: those of two classes and a
// line, a copy, one that was refused, one that was asked for anew, and one whose result is
// gone.
func TestSettledAtOnce(t *testing.T) {
	f := open4test(t)
	ctx := t.Context()
	fatal.If(t, f.SetSession(ctx, Session{Kind: Class, Name: "Tuesday", HeldOn: time.Date(2026, 11, 24, 0, 0, 0, 0, time.UTC), Ticket: told()}))
	shots := eightShots(t, f)
	if _, err := f.Again(ctx, shots[5].ID, told()); err != nil {
		t.Fatal(err)
	}
	shots[6].Result = 999
	for range 2 { // again, it changes nothing
		if err := f.settle(ctx, shots); err != nil { // and not each by itself
			t.Fatal(err)
		}
		want := []State{Measured, Measured, Measured, Measured, Refused, Waiting, Waiting, Measured}
		all, err := f.List(ctx, Filter{})
		fatal.If(t, err)
		for i, s := range all {
			if s.State != want[i] || s.Done() && (s.Result != shots[i].Result || s.Code != shots[i].Code) {
				t.Errorf("tray %d: %+v", i, s)
			}
		}
		summedUp(t, f, "Monday", 2) // a copy counts nothing, nor does what was refused
		summedUp(t, f, "Tuesday", 1)
	}
}

// eightShots are received and their results in the book, but for the list.
func eightShots(t *testing.T, f *Folder) []Shot {
	t.Helper()
	var shots []Shot
	for i, who := range []string{"1", "1", "2", "3", "4", "5", "6", "7"} {
		s := sent(who)
		switch i {
		case 2:
			s.Session = "Tuesday"
		case 3:
			s.Kind, s.Session = Line, "lunch"
		}
		content := i
		if i == 7 {
			content = 0 // the first one's, of somebody else
		}
		s = receive(t, f, s, numbered(t, content))
		r := measured(i)
		if i == 4 {
			r = piece.Tray{Photo: piece.Photo{File: "x"}, Status: piece.TrayRefused, Problems: []piece.Problem{{Code: "no-mat"}}, Pieces: []piece.Piece{}}
		}
		id, err := inBook(t.Context(), f, s, r, nil)
		fatal.If(t, err)
		if s.State, s.Result = Measured, id; i == 4 {
			s.State, s.Code = Refused, "no-mat"
		}
		shots = append(shots, s)
	}
	return shots
}

// summedUp fails unless so many trays of a class count.
func summedUp(t *testing.T, f *Folder, class string, want int) {
	t.Helper()
	run, err := f.Run(t.Context(), class)
	fatal.If(t, err)
	tallies, err := f.book.TalliesOn(t.Context(), run.HeldOn.Format(time.DateOnly))
	fatal.If(t, err)
	tallies = slices.DeleteFunc(tallies, func(x book.Tally) bool { return x.Name != class })
	if len(tallies) != want {
		t.Errorf("%s: %d trays are summed up, want %d", class, len(tallies), want)
	}
}

// Many who settle at the same time all get done.
func TestSettledByMany(t *testing.T) {
	f := open4test(t)
	var all sync.WaitGroup
	for i := range 20 {
		s := receive(t, f, sent(string(rune('a'+i))), numbered(t, i))
		all.Go(func() {
			if err := keep(t.Context(), f, s, measured(i), nil); err != nil {
				t.Error(err)
			}
		})
	}
	all.Wait()
	left, err := f.List(t.Context(), Filter{States: []State{Waiting, Measuring, Failed}})
	if err != nil || len(left) > 0 {
		t.Errorf("left are %v, %v", left, err)
	}
}
