package intake

import (
	"os"
	"path/filepath"
	"testing"

	"netagauge/internal/core/fatal"
	"netagauge/internal/keep/archive"
)

// before is a folder of the time before tickets, brought up to date.
func before(t *testing.T) *Folder {
	t.Helper()
	packed, err := os.Open(filepath.Join("..", "..", "..", "testdata", "before", "kitchen.tar.gz"))
	fatal.If(t, err)
	defer packed.Close()
	dir := filepath.Join(t.TempDir(), "kitchen")
	fatal.If(t, os.MkdirAll(filepath.Join(dir, PhotosDir), 0o700))
	if _, err := archive.Unpack(t.Context(), packed, dir, func(string) bool { return true }); err != nil {
		t.Fatal(err)
	}
	f, err := Open(t.Context(), dir, program)
	fatal.If(t, err)
	t.Cleanup(func() { f.Close() })
	return f
}

// A backup of the time before tickets is unpacked, opened and gone on with:
// testdata/before/README.md says what is in it.
func TestFolderBeforeTickets(t *testing.T) {
	f := before(t)
	shots, err := f.List(t.Context(), Filter{})
	if err != nil || len(shots) != 3 {
		t.Fatalf("%d photos, %v; want 3", len(shots), err)
	}
	aoi, ben, cho := shots[0], shots[1], shots[2]
	if aoi.State != Measured || aoi.Ticket.Species != "salmon" || aoi.Ticket.Thickness != "1:4.2,2:4.0,3:3.9,5:4.1" || aoi.Ticket.Cut.Theta != 45 || len(aoi.Ticket.Prints) != 1 {
		t.Errorf("the class's photo is %+v", aoi)
	}
	if ben.State != Measured || ben.Kind != Line || ben.Ticket.TrayWeight != "55.0" || ben.Ticket.LayAngle != "90" || ben.Ticket.Density != "1.06" {
		t.Errorf("the line's photo is %+v", ben)
	}
	if cho.State != Waiting || !cho.Second.Counts() {
		t.Errorf("the pair is %+v", cho)
	}
	for _, s := range shots {
		if err := s.Ticket.Check(); err != nil {
			t.Errorf("ticket of photo %d: %v", s.Number, err)
		}
	}
	r, err := f.Book().Report(t.Context(), aoi.Result)
	if err != nil || len(r.MeasuredPieces()) != 4 {
		t.Errorf("the class's result has %d slices, %v; want 4", len(r.MeasuredPieces()), err)
	}
	next, found, err := f.Next(t.Context())
	if err != nil || !found || next.ID != cho.ID {
		t.Fatalf("next is %+v, %v, %v", next, found, err)
	}
	fatal.If(t, keep(t.Context(), f, next, measured(1), nil))
	run, err := f.Run(t.Context(), "Monday")
	fatal.If(t, err)
	if entries, err := f.Book().Entries(t.Context(), run.ID); err != nil || len(entries) != 2 {
		t.Errorf("%d entries, %v; want both of the class", len(entries), err)
	}
}
