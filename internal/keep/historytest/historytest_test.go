package historytest

import (
	"testing"

	"netagauge/internal/core/fatal"
	"netagauge/internal/keep/book"
	"netagauge/internal/keep/intake"
)

// What Fill writes is a folder as the program leaves it: it opens with nothing to put
// right but photos that are not there, and every class and check is found.
func TestFill(t *testing.T) {
	s := Size{Classes: 3, Trays: 8, Trainees: 4, Checks: 45}
	dir := t.TempDir()
	fatal.If(t, Fill(t.Context(), dir, "v1", s))
	f, err := intake.Open(t.Context(), dir, "v1")
	fatal.If(t, err)
	defer f.Close()
	if f.Found() != (intake.Found{}) {
		t.Errorf("it was put right: %+v", f.Found())
	}
	for class := range s.Classes {
		run, err := f.Run(t.Context(), Class(class))
		if err != nil || !run.Finished {
			t.Fatalf("%s: %+v, %v", Class(class), run, err)
		}
		entries, err := f.Book().Entries(t.Context(), run.ID)
		if err != nil || len(entries) != s.Trays {
			t.Errorf("%s has %d photos, %v", Class(class), len(entries), err)
		}
	}
	checks, err := f.Book().SpotChecks(t.Context(), Line, book.Span{})
	if err != nil || len(checks) != s.Checks {
		t.Errorf("%d checks, %v", len(checks), err)
	}
	x, err := f.Shot(t.Context(), ID(0))
	if err != nil || x.Result == 0 {
		t.Fatalf("%+v, %v", x, err)
	}
	if r, err := f.Book().Report(t.Context(), x.Result); err != nil || len(r.MeasuredPieces()) != slices {
		t.Errorf("%d slices, %v", len(r.MeasuredPieces()), err)
	}
}
