package intake

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"testing"

	"netagauge/internal/core/fatal"
	"netagauge/internal/core/piece"
	"netagauge/internal/keep/book"
)

func addSecond(t *testing.T, f *Folder, id string, data []byte) Shot {
	t.Helper()
	s, err := f.AddSecond(t.Context(), id, "IMG_2.jpg", bytes.NewReader(data))
	fatal.If(t, err)
	return s
}

func nextShot(t *testing.T, f *Folder) Shot {
	t.Helper()
	s, found, err := f.Next(t.Context())
	if err != nil || !found {
		t.Fatalf("no photo waits: %v", err)
	}
	return s
}

// A second photo has the shot measured anew; its result takes the place of the
// first photo's, and what people decided of the tray stays.
func TestSecondPhoto(t *testing.T) {
	f := open4test(t)
	ctx := t.Context()
	s := receive(t, f, sent("7"), numbered(t, 1))
	fatal.If(t, keep(ctx, f, nextShot(t, f), measured(1), []byte{0xff, 0xd8}))
	alone, err := f.Shot(ctx, s.ID)
	fatal.If(t, err)
	fatal.If(t, f.Book().Override(ctx, s.Hash, piece.Override{Piece: 1, At: [2]float64{53, 12}, Kind: piece.NotASlice, Reason: "a scrap"}))
	pair := addSecond(t, f, s.ID, numbered(t, 2))
	if pair.State != Waiting || pair.Turn != 1 || !pair.Second.Counts() || pair.Second.Name != "IMG_2.jpg" {
		t.Errorf("after the second photo: %+v", pair)
	}
	if data, err := os.ReadFile(filepath.Join(f.Dir(), "photos", pair.Second.ID+".jpg")); err != nil || !bytes.Equal(data, numbered(t, 2)) {
		t.Errorf("the second photo on the disk is not the one sent: %v", err)
	}
	if again := addSecond(t, f, s.ID, numbered(t, 2)); again.Turn != 1 {
		t.Error("the same second photo sent again is measured again")
	}
	fatal.If(t, keep(ctx, f, nextShot(t, f), measured(2), []byte{0xff, 0xd8}))
	both, err := f.Shot(ctx, s.ID)
	if err != nil || both.State != Measured || both.Result == alone.Result {
		t.Errorf("measured with both: %+v, %v", both, err)
	}
	run, err := f.Run(ctx, "Monday")
	fatal.If(t, err)
	entries, err := f.Book().Entries(ctx, run.ID)
	if err != nil || len(entries) != 1 || entries[0].Result != both.Result || book.Hashes(entries[0].Photo)[0] != s.Hash {
		t.Errorf("the class has %+v, %v; want the tray once, by its first photo", entries, err)
	}
	if kept, err := f.Book().Overrides(ctx, entries[0].Photo); err != nil || len(kept) != 1 {
		t.Errorf("the decision about the tray is lost: %+v, %v", kept, err)
	}
	if _, found, err := f.Next(ctx); found || err != nil {
		t.Errorf("something is measured twice: %v, %v", found, err)
	}
}

func TestSecondPhotoRefused(t *testing.T) {
	f := open4test(t)
	s := receive(t, f, sent("7"), numbered(t, 1))
	for name, c := range map[string]struct {
		id   string
		data []byte
		want error
	}{
		"the first once more": {s.ID, numbered(t, 1), ErrSamePhoto},
		"text":                {s.ID, []byte("lunch"), ErrNotAPhoto},
		"of no shot":          {newID(), numbered(t, 2), ErrUnknown},
	} {
		if _, err := f.AddSecond(t.Context(), c.id, "x", bytes.NewReader(c.data)); !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v", name, err, c.want)
		}
	}
	if got, err := f.Shot(t.Context(), s.ID); err != nil || got.Turn != 0 || got.Second.Counts() {
		t.Errorf("the shot is %+v, %v", got, err)
	}
	if files, err := os.ReadDir(filepath.Join(f.Dir(), "photos")); err != nil || len(files) != 1 {
		t.Errorf("%d photos on the disk, %v; want the first", len(files), err)
	}
}

// A second photo that comes while the first is measured: what comes of the first
// alone does not end the shot.
func TestSecondPhotoWhileMeasuring(t *testing.T) {
	f := open4test(t)
	ctx := t.Context()
	s := receive(t, f, sent("7"), numbered(t, 1))
	first := nextShot(t, f)
	addSecond(t, f, s.ID, numbered(t, 2))
	fatal.If(t, keep(ctx, f, first, measured(1), []byte{0xff, 0xd8}))
	if got, err := f.Shot(ctx, s.ID); err != nil || got.State != Waiting {
		t.Errorf("the shot is %s, %v; want it to wait for both", got.State, err)
	}
	if got := nextShot(t, f); !got.Second.Counts() || got.Turn != 1 {
		t.Errorf("next is %+v", got)
	}
}

// A second photo over which the program stops is set aside and the shot measured
// without; another may be sent.
func TestSecondPhotoOfNoUse(t *testing.T) {
	f := open4test(t)
	ctx := t.Context()
	s := receive(t, f, sent("7"), numbered(t, 1))
	addSecond(t, f, s.ID, numbered(t, 2))
	fatal.If(t, f.Fail(ctx, nextShot(t, f), CodeStopped, nil))
	got := nextShot(t, f)
	if got.Second.Counts() || !got.Second.Useless {
		t.Errorf("it is measured with the same second photo again: %+v", got.Second)
	}
	fatal.If(t, keep(ctx, f, got, measured(1), []byte{0xff, 0xd8}))
	if got, err := f.Shot(ctx, s.ID); err != nil || got.State != Measured {
		t.Errorf("the first photo's result is lost: %+v, %v", got, err)
	}
	good := addSecond(t, f, s.ID, numbered(t, 3))
	if !good.Second.Counts() {
		t.Errorf("another second photo: %+v", good.Second)
	}
	addSecond(t, f, s.ID, numbered(t, 4))
	fatal.If(t, f.Fail(ctx, nextShot(t, f), CodeSlow, nil))
	if got := nextShot(t, f); got.Second.Hash != good.Second.Hash || !got.Second.Useless {
		t.Errorf("after a useless one the good second photo before is not used: %+v", got.Second)
	}
}

// Where a second photo was taken is blanked as in the first.
func TestSecondPhotoDropsLocation(t *testing.T) {
	f := open4test(t)
	s := receive(t, f, sent("7"), numbered(t, 1))
	placed := append([]byte("\xff\xd8\xff\xe1\x00\x2e"), `<rdf exif:GPSLatitude="35,39.5N" tiff:X="Y"/>`[:44]...)
	pair := addSecond(t, f, s.ID, append(placed, numbered(t, 2)[2:]...))
	kept, err := os.ReadFile(filepath.Join(f.Dir(), "photos", pair.Second.ID+".jpg"))
	if err != nil || bytes.Contains(kept, []byte("35,39.5N")) {
		t.Errorf("the place is still in the second photo: %v", err)
	}
}
