package backup

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"
	"time"

	"netagauge/internal/core/fatal"
	"netagauge/internal/core/piece"
	"netagauge/internal/judge/standard"
	"netagauge/internal/judge/ticket"
	"netagauge/internal/keep/book"
	"netagauge/internal/keep/intake"
	"netagauge/internal/keep/settings"
	trays "netagauge/testdata/photos"
)

// kitchen is a data folder with a class, opened.
func kitchen(t *testing.T) *intake.Folder {
	t.Helper()
	f := opened(t, filepath.Join(t.TempDir(), "odd ?#% kitchen"))
	monday := intake.Session{Kind: intake.Class, Name: "Monday", HeldOn: time.Date(2026, 11, 23, 0, 0, 0, 0, time.UTC), Ticket: ticket.Ticket{Standard: standard.Default()}}
	fatal.If(t, f.SetSession(t.Context(), monday))
	return f
}

func opened(t *testing.T, dir string) *intake.Folder {
	t.Helper()
	f, err := intake.Open(t.Context(), dir, "v1")
	fatal.If(t, err)
	f.Limits.Free = 0
	t.Cleanup(func() { f.Close() })
	return f
}

// numbered is a photo whose header is sound and whose content is its own.
func numbered(t testing.TB, n int) []byte {
	t.Helper()
	data, err := trays.Files.ReadFile("tray-laid.jpg")
	fatal.If(t, err)
	return append(data[:60_000:60_000], byte(n), byte(n>>8))
}

func receive(t *testing.T, f *intake.Folder, n int) intake.Shot {
	t.Helper()
	s, err := f.Receive(t.Context(), intake.Shot{Owner: "7", Who: "Trainee 7", Kind: intake.Class, Session: "Monday",
		Ticket: ticket.Ticket{Standard: standard.Default()}, Name: "IMG_1.jpg"}, bytes.NewReader(numbered(t, n)))
	fatal.If(t, err)
	return s
}

func addSecond(t *testing.T, f *intake.Folder, id string, n int) intake.Shot {
	t.Helper()
	s, err := f.AddSecond(t.Context(), id, "IMG_2.jpg", bytes.NewReader(numbered(t, n)))
	fatal.If(t, err)
	return s
}

// keepNext does the worker's part for the next shot, if there is one, with a made-up
// report.
func keepNext(t *testing.T, f *intake.Folder, picture []byte) {
	t.Helper()
	ctx := t.Context()
	s, found, err := f.Next(ctx)
	if err != nil || !found {
		t.Errorf("nothing waits, %v", err)
		return
	}
	hash, err := f.Book().Ticket(ctx, s.Ticket)
	if err != nil {
		t.Error(err)
		return
	}
	r := piece.Tray{Photo: piece.Photo{File: "x"}, Status: piece.TrayMeasured, Pieces: []piece.Piece{
		{Number: 1, State: piece.Measured, Outline: [][2]float64{{0, 0}, {80, 0}, {80, 35}}, Length: piece.Of(80, 0.4),
			Width: piece.Of(35, 0.4), Cover: piece.Of(1, 0), Verdict: piece.Pass}}}
	id, err := f.Book().Keep(ctx, book.Key{Photo: s.Hash, Ticket: hash, Program: f.Program()}, r, book.Pictures{Annotated: picture})
	if err == nil {
		err = f.Settle(ctx, s, intake.Outcome{Result: id})
	}
	if err != nil {
		t.Error(err)
	}
}

// filled is a folder with a measured, a waiting and a failed shot, and a setting.
func filled(t *testing.T) *intake.Folder {
	t.Helper()
	f := kitchen(t)
	for i := range 3 {
		receive(t, f, i)
	}
	keepNext(t, f, []byte{0xff, 0xd8})
	s, found, err := f.Next(t.Context())
	if err != nil || !found {
		t.Fatal(found, err)
	}
	fatal.If(t, f.Fail(t.Context(), s, intake.CodeStopped, nil))
	fatal.If(t, os.WriteFile(filepath.Join(f.Dir(), settings.Roster), []byte("label,name\n07,Trainee 7\n"), 0o600))
	return f
}

// packed is a backup of a folder.
func packed(t *testing.T, f *intake.Folder) []byte {
	t.Helper()
	var out bytes.Buffer
	fatal.If(t, Write(t.Context(), f.Dir(), &out))
	return out.Bytes()
}

// again is a folder restored from a backup of another.
func again(t *testing.T, data []byte) *intake.Folder {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "again")
	fatal.If(t, Restore(t.Context(), bytes.NewReader(data), dir))
	return opened(t, dir)
}
