package intake

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"netagauge/internal/core/fatal"
	"netagauge/internal/core/piece"
	"netagauge/internal/keep/enginetest"
	"netagauge/internal/keep/keeping"
)

// aged lets a shot have come so many days ago.
func aged(t *testing.T, f *Folder, s Shot, days int) {
	t.Helper()
	if _, err := f.db.ExecContext(t.Context(), `UPDATE shot SET received = $1 WHERE number = $2`, time.Now().AddDate(0, 0, -days).UTC().Format(time.RFC3339Nano), s.Number); err != nil {
		t.Fatal(err)
	}
}

func there(f *Folder, s Shot) bool {
	_, err := os.Stat(filepath.Join(f.Dir(), PhotosDir, s.file()))
	return err == nil
}

// What is due goes, and is told before; never a photo that waits, that somebody spoke
// about, that a class is held against, or that is younger; results stay, and nothing is
// measured anew without its photo.
func TestDrop(t *testing.T) {
	f, ctx := open4test(t), t.Context()
	measuredShot := func(n int) Shot {
		s := receive(t, f, theirTray("Bo Test"), numbered(t, n))
		fatal.If(t, keep(ctx, f, s, measured(n), []byte("drawn")))
		aged(t, f, s, 40)
		return s
	}
	old, spoken, reference, renewed := measuredShot(1), measuredShot(2), measuredShot(3), measuredShot(4)
	young := measuredShot(5)
	aged(t, f, young, 20)
	waits := receive(t, f, theirTray("Bo Test"), numbered(t, 6))
	aged(t, f, waits, 50)
	fatal.If(t, f.book.Override(ctx, spoken.Hash, piece.Override{Piece: 1, Kind: piece.CountIt, Reason: "look"}))
	fatal.If(t, f.book.SetReference(ctx, "Monday", reference.ID))
	id, number := sat(t, f)
	_ = id
	exam := receive(t, f, Shot{Owner: "trainee/Aoi Test", Who: "1", Kind: Exam, Session: "Autumn", Place: 1, Ticket: told()}, numbered(t, 7))
	if _, err := f.db.ExecContext(ctx, `UPDATE shot SET state = 'refused' WHERE number = $1`, exam.Number); err != nil || number == 0 {
		t.Fatal(err)
	}
	aged(t, f, exam, 40)

	rules, now := keeping.Rules{PhotoDays: 30, ExamMonths: 2}, time.Now()
	due, err := f.Due(ctx, rules, now)
	if err != nil || due.Photos != 2 || due.Kept != 2 || due.Waits != 1 || due.Bytes != old.Bytes+renewed.Bytes || due.Oldest.IsZero() || len(due.People) != 0 {
		t.Fatalf("due is %+v, %v", due, err)
	}
	if _, err := f.Again(ctx, renewed.ID, told()); err != nil { // between telling and doing
		t.Fatal(err)
	}
	if n, err := f.Drop(ctx, due); n != 1 || err != nil {
		t.Errorf("%d dropped, %v", n, err)
	}
	for s, want := range map[*Shot]bool{&old: false, &spoken: true, &reference: true, &renewed: true, &young: true, &waits: true, &exam: true} {
		if there(f, *s) != want {
			t.Errorf("photo %d is there: %v", s.Number, !want)
		}
	}
	got, err := f.Shot(ctx, old.ID)
	if err != nil || got.Dropped.IsZero() || got.Result == 0 {
		t.Errorf("%+v, %v", got, err)
	}
	if picture, err := f.book.Picture(ctx, got.Result); err != nil || len(picture) == 0 {
		t.Errorf("the small picture is gone, too: %v", err)
	}
	var gone *DroppedError
	if _, err := f.Again(ctx, old.ID, told()); !errors.As(err, &gone) {
		t.Errorf("measured anew without a photo: %v", err)
	}
	if _, err := f.AddSecond(ctx, old.ID, "b.jpg", bytes.NewReader(numbered(t, 9))); !errors.As(err, &gone) {
		t.Errorf("a second photo without a first: %v", err)
	}
	due, err = f.Due(ctx, keeping.Rules{ExamMonths: 1, PersonMonths: 1}, now)
	if err != nil || due.Photos != 1 || !slices.Equal(due.People, []string{"Aoi Test"}) { // Bo sent one 20 days ago
		t.Errorf("due is %+v, %v", due, err)
	}
}

// Stopped between saying so and doing it, the photo goes with the next time; nothing of
// it is taken for a photo without an owner.
func TestDropIsFinished(t *testing.T) {
	enginetest.FileOnly(t, "it opens the folder again")
	f, ctx := open4test(t), t.Context()
	s := receive(t, f, theirTray("Bo Test"), numbered(t, 1))
	fatal.If(t, keep(ctx, f, s, measured(1), nil))
	if _, err := f.db.ExecContext(ctx, `UPDATE shot SET dropped = '-2026-11-26T10:00:00Z'`); err != nil {
		t.Fatal(err)
	}
	f = reopened(t, f)
	if f.found.Unclaimed != 0 || !there(f, s) {
		t.Errorf("found %+v", f.found)
	}
	if got, err := f.Shot(ctx, s.ID); err != nil || got.Dropped.Hour() != 10 {
		t.Errorf("%+v, %v", got, err)
	}
	if _, err := f.Drop(ctx, Due{}); err != nil || there(f, s) {
		t.Errorf("it is still there, %v", err)
	}
	var left string
	if err := f.db.QueryRowContext(ctx, `SELECT dropped FROM shot`).Scan(&left); err != nil || left != "2026-11-26T10:00:00Z" {
		t.Errorf("%s, %v", left, err)
	}
}

// With a tray's first photo its second one goes.
func TestDropTakesBothPhotos(t *testing.T) {
	f, ctx := open4test(t), t.Context()
	s := receive(t, f, theirTray("Bo Test"), numbered(t, 1))
	if _, err := f.AddSecond(ctx, s.ID, "b.jpg", bytes.NewReader(numbered(t, 2))); err != nil {
		t.Fatal(err)
	}
	s, err := f.Shot(ctx, s.ID)
	fatal.If(t, err)
	fatal.If(t, keep(ctx, f, s, measured(1), nil))
	aged(t, f, s, 40)
	due, err := f.Due(ctx, keeping.Rules{PhotoDays: 30}, time.Now())
	if err != nil || due.Photos != 1 || due.Bytes <= s.Bytes {
		t.Errorf("due is %+v, %v", due, err)
	}
	if n, err := f.Drop(ctx, due); n != 1 || err != nil {
		t.Errorf("%d dropped, %v", n, err)
	}
	if files, err := os.ReadDir(filepath.Join(f.Dir(), PhotosDir)); err != nil || len(files) != 0 {
		t.Errorf("%d photos are left, %v", len(files), err)
	}
}
