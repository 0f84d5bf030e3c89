package intake

import (
	"bytes"
	"context"
	"errors"
	"netagauge/internal/core/fatal"
	"netagauge/internal/judge/ticket"
	"os"
	"path/filepath"
	"testing"
	"time"

	"netagauge/internal/core/piece"
	"netagauge/internal/judge/standard"
	"netagauge/internal/keep/book"
	"netagauge/internal/keep/enginetest"
	"netagauge/internal/keep/photos"
	"netagauge/internal/keep/uploadtest"
	trays "netagauge/testdata/photos"
)

const program = "v1"

func sampleJPEG(t testing.TB) []byte {
	t.Helper()
	data, err := trays.Files.ReadFile("tray-laid.jpg")
	fatal.If(t, err)
	return data
}

func told() ticket.Ticket { return ticket.Ticket{Standard: standard.Default()} }

func TestMain(m *testing.M) { enginetest.Main(m) }

// opened is an empty folder, or what several processes share.
func opened(t *testing.T) (f *Folder) {
	t.Helper()
	var err error
	if enginetest.Shared() {
		f = another(t, Shared{At: enginetest.Place(t)})
		if f.photos, err = photos.InFolder(filepath.Join(f.dir, PhotosDir), filepath.Join(f.dir, unclaimedDir)); err != nil {
			t.Fatal(err)
		}
		return f
	}
	f, err = Open(t.Context(), filepath.Join(t.TempDir(), "odd ?#% kitchen"), program)
	fatal.If(t, err)
	t.Cleanup(func() { f.Close() })
	return f
}

// another opens what is shared as one more process does.
func another(t *testing.T, s Shared) *Folder {
	t.Helper()
	s.Tmp = t.TempDir()
	f, err := OpenShared(t.Context(), s, program)
	fatal.If(t, err)
	t.Cleanup(func() { f.Close() })
	f.Limits.Free = 0
	return f
}

// open4test opens a folder with one class and one line in it.
func open4test(t *testing.T) *Folder {
	t.Helper()
	f := opened(t)
	f.Limits.Free = 0
	for _, s := range []Session{{Kind: Class, Name: "Monday", HeldOn: time.Date(2026, 11, 23, 0, 0, 0, 0, time.UTC), Ticket: told()}, {Kind: Line, Name: "lunch", Ticket: told()}} {
		fatal.If(t, f.SetSession(t.Context(), s))
	}
	return f
}

func sent(owner string) Shot {
	return Shot{Owner: owner, Who: "Trainee " + owner, Kind: Class, Session: "Monday", Ticket: told(), Name: "IMG_1.jpg"}
}

// numbered is a photo whose header is sound and whose content is its own.
func numbered(t testing.TB, n int) []byte {
	return append(bytes.Clone(sampleJPEG(t)[:60_000]), byte(n), byte(n>>8))
}

func measured(n int) piece.Tray {
	return piece.Tray{Photo: piece.Photo{File: "x"}, Status: piece.TrayMeasured, Pieces: []piece.Piece{
		{Number: 1, State: piece.Measured, Outline: [][2]float64{{0, 0}, {80, 0}, {80, 35}}, Length: piece.Of(80+float64(n)/100, 0.4),
			Width: piece.Of(35, 0.4), Cover: piece.Of(1, 0), Verdict: piece.Pass}}}
}

// inBook keeps a made-up report in the book.
func inBook(ctx context.Context, f *Folder, s Shot, r piece.Tray, picture []byte) (int64, error) {
	hash, err := f.book.Ticket(ctx, s.Ticket)
	if err != nil {
		return 0, err
	}
	k := book.Key{Photo: s.Hash, Ticket: hash, Program: program}
	if s.Second.Counts() {
		k.Photo = book.JoinHashes(s.Hash, s.Second.Hash)
	}
	return f.book.Keep(ctx, k, r, book.Pictures{Annotated: picture})
}

// keep does the worker's part with a made-up report.
func keep(ctx context.Context, f *Folder, s Shot, r piece.Tray, picture []byte) error {
	id, err := inBook(ctx, f, s, r, picture)
	if err != nil {
		return err
	}
	o := Outcome{Result: id, Refused: r.Status == piece.TrayRefused}
	if o.Refused {
		o.Code = r.Problems[0].Code
	}
	return f.Settle(ctx, s, o)
}

func receive(t *testing.T, f *Folder, s Shot, data []byte) Shot {
	t.Helper()
	got, err := f.Receive(t.Context(), s, bytes.NewReader(data))
	fatal.If(t, err)
	return got
}

func TestFromPhoneToBook(t *testing.T) {
	f := open4test(t)
	ctx := t.Context()
	changed := f.Watch(ctx)
	s := receive(t, f, sent("7"), sampleJPEG(t))
	if s.Number != 1 || len(s.ID) != 26 || s.Format != "jpg" || s.State != Waiting || s.Hash == "" {
		t.Errorf("received %+v", s)
	}
	<-changed
	if data, err := os.ReadFile(filepath.Join(f.Dir(), "photos", s.ID+".jpg")); err != nil || !bytes.Equal(data, sampleJPEG(t)) {
		t.Errorf("the photo on the disk is not the one sent: %v", err)
	}
	next, found, err := f.Next(ctx)
	if err != nil || !found || next.ID != s.ID {
		t.Fatalf("next is %+v, %v, %v", next, found, err)
	}
	fatal.If(t, keep(ctx, f, next, measured(1), []byte{0xff, 0xd8}))
	got, err := f.Shot(ctx, s.ID)
	if err != nil || got.State != Measured || got.Result == 0 || !got.Done() {
		t.Fatalf("shot is %+v, %v", got, err)
	}
	run, err := f.Run(ctx, "Monday")
	fatal.If(t, err)
	entries, err := f.Book().Entries(ctx, run.ID)
	if err != nil || len(entries) != 1 || entries[0].Trainee != "Trainee 7" || entries[0].Result != got.Result {
		t.Errorf("entries %+v, %v", entries, err)
	}
	if _, found, err := f.Next(ctx); found || err != nil {
		t.Errorf("there is a next one: %v, %v", found, err)
	}
}

func TestReceiveRefuses(t *testing.T) {
	f := open4test(t)
	f.Limits.Bytes = 1 << 20
	thick := sent("7")
	thick.Ticket.Thickness = "400"
	elsewhere := sent("7")
	elsewhere.Session = "Tuesday"
	for name, c := range map[string]struct {
		shot Shot
		data []byte
		want error
	}{
		"text":       {sent("7"), []byte("lunch: 12 slices"), ErrNotAPhoto},
		"nothing":    {sent("7"), nil, ErrNotAPhoto},
		"too large":  {sent("7"), append(sampleJPEG(t), make([]byte, 1<<20)...), ErrTooLarge},
		"thickness":  {thick, sampleJPEG(t), nil},
		"no session": {elsewhere, sampleJPEG(t), ErrNoSession},
		"nobody":     {Shot{Kind: Class, Session: "Monday", Ticket: told()}, sampleJPEG(t), nil},
	} {
		s, err := f.Receive(t.Context(), c.shot, bytes.NewReader(c.data))
		if err == nil || c.want != nil && !errors.Is(err, c.want) || s.ID != "" {
			t.Errorf("%s: %+v, error %v, want %v", name, s, err, c.want)
		}
	}
	for _, dir := range []string{PhotosDir, TmpDir} {
		if files, err := os.ReadDir(filepath.Join(f.Dir(), dir)); err != nil || len(files) > 0 {
			t.Errorf("%d files are left in %s (%v)", len(files), dir, err)
		}
	}
}

func malformed(t testing.TB, i int) []byte {
	t.Helper()
	return uploadtest.Malformed(sampleJPEG(t), i)
}

// Where a photo was taken is not kept, and the same photo sent again is known by
// what is kept.
func TestPlaceIsDropped(t *testing.T) {
	f := open4test(t)
	data := append([]byte("\xff\xd8\xff\xe1\x00\x2e"), `<rdf exif:GPSLatitude="35,39.5N" tiff:X="Y"/>`[:44]...)
	data = append(data, sampleJPEG(t)[2:]...)
	s := receive(t, f, sent("7"), data)
	kept, err := os.ReadFile(filepath.Join(f.Dir(), PhotosDir, s.file()))
	fatal.If(t, err)
	if bytes.Contains(kept, []byte("35,39")) || len(kept) != len(data) || book.Hash(kept) != s.Hash {
		t.Errorf("kept %q…, hash %s", kept[:80], s.Hash)
	}
	if again := receive(t, f, sent("7"), data); again.ID != s.ID {
		t.Error("sent again, it is another shot")
	}
}
