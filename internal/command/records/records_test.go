package records

import (
	"errors"
	"testing"

	"netagauge/internal/command"
	"netagauge/internal/core/piece"
	"netagauge/internal/judge/standard"
	"netagauge/internal/judge/ticket"
	"netagauge/internal/keep/board"
	"netagauge/internal/keep/book"
	"netagauge/internal/work/class"
)

// A single slice to cut again fails a class; a close one does where the standard says so; a
// photo that was refused or could not be read weighs more than either.
func TestClassCode(t *testing.T) {
	strict := standard.Default()
	strict.Verdict.UnsureCountsAs = "fail"
	for name, c := range map[string]struct {
		count    piece.Count
		house    standard.Standard
		entries  []book.Entry
		outcomes []class.Outcome
		want     int
	}{
		"all good":         {piece.Count{Good: 5}, standard.Default(), nil, nil, command.ExitPass},
		"one again":        {piece.Count{Good: 4, Again: 1}, standard.Default(), nil, nil, command.ExitFails},
		"one close":        {piece.Count{Good: 4, Close: 1}, standard.Default(), nil, nil, command.ExitPass},
		"close that fails": {piece.Count{Good: 4, Close: 1}, strict, nil, nil, command.ExitFails},
		"refused":          {piece.Count{Again: 1}, standard.Default(), []book.Entry{{Refused: true}}, nil, command.ExitRefused},
		"unread":           {piece.Count{Good: 5}, standard.Default(), nil, []class.Outcome{{Err: errors.New("gone")}}, command.ExitRefused},
	} {
		b := board.Board{Ticket: ticket.Ticket{Standard: c.house}, Trainees: []board.Trainee{{Name: "Aki", Count: c.count}}}
		if got := classCode(b, c.entries, c.outcomes); got != c.want {
			t.Errorf("%s: %d, want %d", name, got, c.want)
		}
	}
}

// Each shift that shall be seen is that of its own measure.
func TestShiftsOfTheirMeasures(t *testing.T) {
	o := lineOptions{shiftLength: 2, shiftWidth: 1, shiftWeight: 0.5}
	if got := o.plan(ticket.Ticket{Standard: standard.Default()}).Shifts; got["length"] != 2 || got["width"] != 1 || got["weight"] != 0.5 {
		t.Errorf("%v", got)
	}
}
