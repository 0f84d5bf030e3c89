package record

import (
	"context"
	"errors"
	"testing"

	"netagauge/internal/core/fatal"
	"netagauge/internal/core/piece"
	"netagauge/internal/judge/ticket"
	"netagauge/internal/keep/book"
	"netagauge/internal/keep/intake"
)

func recorder4test(t *testing.T, measure Measure) Recorder {
	t.Helper()
	b, err := book.Temporary(t.Context())
	fatal.If(t, err)
	t.Cleanup(func() { b.Close() })
	return Recorder{Book: b, Program: "v1", Measure: measure}
}

// The same photos by the same ticket are measured once, whoever asks; another
// ticket, a second photo and another program are other measurements.
func TestMeasuredOnce(t *testing.T) {
	measured := 0
	r := recorder4test(t, func(_ context.Context, tray Tray) (Result, error) {
		measured++
		data, err := tray.First.Read()
		return Result{Report: piece.Tray{Status: piece.TrayMeasured, Species: string(data), Pieces: []piece.Piece{}}}, err
	})
	one := Tray{First: Bytes("a.jpg", []byte("a photo"))}
	thick, pair := one, one
	thick.Ticket = ticket.Ticket{Thickness: "4"}
	pair.Second = Bytes("b.jpg", []byte("moved"))
	ids := map[int64]bool{}
	for i, x := range []struct {
		program string
		tray    Tray
		before  bool
	}{{"v1", one, false}, {"v1", one, true}, {"v1", thick, false}, {"v1", pair, false}, {"v1", pair, true}, {"v2", one, false}, {"v1", thick, true}} {
		r.Program = x.program
		kept, err := r.Record(t.Context(), x.tray)
		if err != nil || kept.Before != x.before || ids[kept.ID] != x.before || kept.Report.Species != "a photo" {
			t.Errorf("call %d: %+v, %v; before %v", i, kept, err, x.before)
		}
		ids[kept.ID] = true
	}
	if got, want := pair.Photos(), book.JoinHashes(pair.First.Hash, pair.Second.Hash); got != want {
		t.Errorf("a pair is kept as %s, want the first photo before the second, %s", got, want)
	}
	if measured != 4 {
		t.Errorf("%d measurements, want 4", measured)
	}
}

// What was measured is kept even when nobody waits for it any more, and what
// cannot be measured is told apart from a book that cannot be written.
func TestStoppedMeanwhile(t *testing.T) {
	ctx, stop := context.WithCancel(t.Context())
	r := recorder4test(t, func(context.Context, Tray) (Result, error) {
		stop()
		return Result{Report: piece.Tray{Status: piece.TrayRefused, Problems: []piece.Problem{{Code: "no-mat", Message: "no mat", Remedy: "lay one"}}, Pieces: []piece.Piece{}}}, nil
	})
	kept, err := r.Record(ctx, Tray{First: Bytes("a.jpg", nil)})
	if err != nil || kept.ID == 0 {
		t.Fatalf("%+v, %v", kept, err)
	}
	if o := kept.Outcome(); !o.Refused || o.Code != "no-mat" || o.Result != kept.ID {
		t.Errorf("outcome %+v", o)
	}
	lensCap := errors.New("lens cap")
	r.Measure = func(context.Context, Tray) (Result, error) { return Result{}, lensCap }
	_, err = r.Record(t.Context(), Tray{First: Bytes("b.jpg", []byte("b"))})
	var not NotMeasuredError
	if !errors.As(err, &not) || !errors.Is(err, lensCap) {
		t.Errorf("a tray that cannot be measured: %v", err)
	}
	r.Book.Close()
	if _, err = r.Record(t.Context(), Tray{First: Bytes("c.jpg", []byte("c"))}); err == nil || errors.As(err, &not) {
		t.Errorf("a book that is closed: %v", err)
	}
}

// Keeping a result is left to who insists on it.
func TestInsist(t *testing.T) {
	measured, tries := 0, 0
	r := recorder4test(t, func(context.Context, Tray) (Result, error) {
		measured++
		return Result{Report: piece.Tray{Status: piece.TrayMeasured, Pieces: []piece.Piece{}}}, nil
	})
	r.Insist = func(_ context.Context, do func() error) error {
		for tries < 2 {
			tries++
			if err := do(); err != nil {
				return err
			}
		}
		return nil
	}
	if kept, err := r.Record(t.Context(), Tray{First: Bytes("a.jpg", nil)}); err != nil || kept.ID == 0 || measured != 1 || tries != 2 {
		t.Errorf("%+v, %v after %d tries and %d measurements", kept, err, tries, measured)
	}
}

// What waits is settled with the code of a refusal; a warning is none.
func TestOutcome(t *testing.T) {
	blurred := []piece.Problem{{Code: "blurred"}, {Code: "glare"}}
	for _, c := range []struct {
		report piece.Tray
		want   intake.Outcome
	}{
		{piece.Tray{Status: piece.TrayMeasured, Problems: blurred}, intake.Outcome{Result: 7}},
		{piece.Tray{Status: piece.TrayRefused, Problems: blurred}, intake.Outcome{Result: 7, Refused: true, Code: "blurred"}},
		{piece.Tray{Status: piece.TrayRefused}, intake.Outcome{Result: 7, Refused: true}},
	} {
		if got := (Kept{ID: 7, Report: c.report}).Outcome(); got != c.want {
			t.Errorf("%s with %v: %+v, want %+v", c.report.Status, c.report.Problems, got, c.want)
		}
	}
}
