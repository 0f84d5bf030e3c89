package intake

import (
	"bytes"
	"errors"
	"netagauge/internal/core/fatal"
	"netagauge/internal/keep/enginetest"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"netagauge/internal/judge/exam"
	"netagauge/internal/keep/book"
)

// leaver is a name that nothing else has in it; invented.
const leaver = "Zuzanna Q. Example"

func theirTray(name string) Shot {
	return Shot{Owner: traineeOwner(name), Who: name, Kind: Class, Session: "Monday", Ticket: told(), Name: "theirs.jpg"}
}

// leave begins somebody's removal and tries to do it.
func leave(t *testing.T, f *Folder, name string) (done bool) {
	t.Helper()
	fatal.If(t, f.AskRemoval(t.Context(), name, Instructed, true))
	r, going, err := f.RemovalOf(t.Context(), name)
	if err != nil || !going || !r.Going {
		t.Fatalf("%+v, %v, %v", r, going, err)
	}
	if done, err = f.Remove(t.Context(), r); err != nil {
		t.Fatal(err)
	}
	return done
}

// What each column of the list may hold of a person; a new one must be put here before
// this test passes.
var columnsOf = map[string]string{
	"sent_to": "kind name held_on ticket", // names that the school gave
	"shot": `number id owner who kind session ticket name format bytes hash received state turn code why result place dropped` + // rows of classes go; else owner, who and name are emptied
		` turn`,
	"second":  "number id shot name format bytes hash received useless dropped", // go with the shot
	"removal": "id name why state asked_at done_at photos bytes results guesses words",
}

func TestRemovalKnowsEveryColumn(t *testing.T) {
	for _, c := range enginetest.Columns(t, open4test(t).db) {
		if !strings.Contains(" "+columnsOf[c.Table]+" ", " "+c.Name+" ") {
			t.Errorf("%s.%s: may it hold a person? Say so here, and see to it in Remove", c.Table, c.Name)
		}
	}
}

// Of who leaves no file of the folder has anything, not even as deleted bytes; what
// others sent stays, and the deletion is logged without the name.
func TestRemove(t *testing.T) {
	f, ctx := open4test(t), t.Context()
	theirs, second := receive(t, f, theirTray(leaver), numbered(t, 1)), numbered(t, 2)
	if _, err := f.AddSecond(ctx, theirs.ID, "b.jpg", bytes.NewReader(second)); err != nil {
		t.Fatal(err)
	}
	waits := receive(t, f, theirTray(leaver), numbered(t, 3))
	elsewhere, tuesday := receive(t, f, theirTray(leaver), numbered(t, 6)), sent("7")
	tuesday.Session = "Tuesday"
	fatal.If(t, f.SetSession(ctx, Session{Kind: Class, Name: "Tuesday", HeldOn: time.Date(2026, 11, 24, 0, 0, 0, 0, time.UTC), Ticket: told()}))
	receive(t, f, tuesday, numbered(t, 6))
	shared := receive(t, f, theirTray(leaver), numbered(t, 4))
	copied := receive(t, f, sent("7"), numbered(t, 4))
	line := receive(t, f, Shot{Owner: "chef/" + leaver, Who: leaver, Kind: Line, Session: "lunch", Ticket: told(), Name: leaver + ".jpg"}, numbered(t, 5))
	for _, s := range []Shot{theirs, shared, copied, line} {
		s, err := f.Shot(ctx, s.ID)
		fatal.If(t, err)
		fatal.If(t, keep(ctx, f, s, measured(int(s.Number)), []byte("drawn "+s.ID)))
	}
	held, err := f.Holds(ctx, leaver)
	if err != nil || held.Photos != 5 || held.Results != 1 {
		t.Errorf("there is %+v, %v", held, err)
	}
	if !leave(t, f, leaver) {
		t.Fatal("it was not done")
	}
	for _, gone := range []Shot{theirs, waits, elsewhere, shared} {
		if _, err := f.Shot(ctx, gone.ID); !errors.Is(err, ErrUnknown) {
			t.Errorf("shot %d: %v", gone.Number, err)
		}
	}
	entries := func() []book.Entry {
		run, err := f.Run(ctx, "Monday")
		fatal.If(t, err)
		entries, err := f.book.Entries(ctx, run.ID)
		fatal.If(t, err)
		return entries
	}()
	if len(entries) != 1 || entries[0].Trainee != "Trainee 7" { // no copy any more
		t.Errorf("the class has %+v", entries)
	}
	if s, err := f.Shot(ctx, line.ID); err != nil || s.Who != "" || s.Result == 0 {
		t.Errorf("the line's check is %+v, %v", s, err)
	}
	if files, _ := os.ReadDir(filepath.Join(f.Dir(), PhotosDir)); len(files) != 3 {
		t.Errorf("%d photos are left, want the two copies and the line's", len(files))
	}
	_, done, err := f.Removals(ctx, 9)
	if err != nil || len(done) != 1 || done[0].Name != "" || done[0].Photos != 5 || done[0].Bytes == 0 || done[0].Results != 1 || done[0].DoneAt.IsZero() {
		t.Errorf("logged as %+v, %v", done, err)
	}
	nothingOf(t, f.Dir(), leaver, theirs.ID, waits.ID, theirs.Hash, "drawn "+theirs.ID)
	if again := receive(t, f, theirTray(leaver), numbered(t, 1)); again.State != Waiting {
		t.Error("who comes again is not taken in")
	}
}

// A photo that is begun to be measured while the files go stops the removal before the
// list forgets it: the result would come to nobody.
func TestUnlistWaitsForMeasuring(t *testing.T) {
	f, ctx := open4test(t), t.Context()
	s := receive(t, f, theirTray(leaver), numbered(t, 1))
	if _, err := f.db.ExecContext(ctx, `UPDATE shot SET state = 'measuring' WHERE number = $1`, s.Number); err != nil {
		t.Fatal(err)
	}
	if err := f.unlist(ctx, Removal{Name: leaver}, book.Removed{}); !errors.Is(err, errMeasuring) {
		t.Errorf("it is %v", err)
	}
	if _, err := f.Shot(ctx, s.ID); err != nil {
		t.Errorf("the photo is off the list: %v", err)
	}
}

func nothingOf(t *testing.T, dir string, marks ...string) {
	t.Helper()
	err := filepath.WalkDir(dir, func(path string, d os.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := os.ReadFile(path)
		for _, m := range marks {
			if bytes.Contains(data, []byte(m)) {
				t.Errorf("%s still has %q", filepath.Base(path), m)
			}
		}
		return err
	})
	fatal.If(t, err)
}

// While a photo is measured the removal waits; nothing more is begun or taken in, and
// what the worker kept meanwhile goes, too.
func TestRemoveWhileMeasuring(t *testing.T) {
	enginetest.FileOnly(t, "the queue of a server lets go of what a stopped process had")
	f, ctx := open4test(t), t.Context()
	receive(t, f, theirTray(leaver), numbered(t, 1))
	receive(t, f, theirTray(leaver), numbered(t, 2))
	inHand, _, err := f.Next(ctx)
	fatal.If(t, err)
	if leave(t, f, leaver) {
		t.Fatal("it did not wait for the worker")
	}
	if _, found, err := f.Next(ctx); found || err != nil {
		t.Errorf("another of theirs is measured: %v", err)
	}
	if _, err := f.Receive(ctx, theirTray(leaver), bytes.NewReader(numbered(t, 3))); !errors.Is(err, ErrLeaving) {
		t.Errorf("one more was taken in: %v", err)
	}
	id, err := inBook(ctx, f, inHand, measured(1), nil) // and the program is killed before Settle
	fatal.If(t, err)
	f = reopened(t, f)
	r, going, err := f.RemovalOf(ctx, leaver)
	if err != nil || !going {
		t.Fatal("a restart forgot the removal", err)
	}
	if done, err := f.Remove(ctx, r); !done || err != nil {
		t.Fatal(done, err)
	}
	if labels, _ := f.book.Labels(ctx, []int64{id}); len(labels) > 0 {
		t.Error("what the worker kept is still there")
	}
	nothingOf(t, f.Dir(), leaver, inHand.ID)
}

func reopened(t *testing.T, f *Folder) *Folder {
	t.Helper()
	fatal.If(t, f.Close())
	again, err := Open(t.Context(), f.Dir(), program)
	fatal.If(t, err)
	t.Cleanup(func() { again.Close() })
	return again
}

// An exam's trays stay under the number, without photo and name.
func TestRemoveFromAnExam(t *testing.T) {
	f, ctx := open4test(t), t.Context()
	id, number := sat(t, f)
	done(t, f, id, exam.Begun)
	x := Shot{Owner: traineeOwner("Aoi Test"), Who: strconv.Itoa(number), Kind: Exam, Session: "Autumn", Place: 1, Ticket: told(), Name: "aoi.jpg"}
	s := receive(t, f, x, numbered(t, 1))
	fatal.If(t, keep(ctx, f, s, measured(1), nil))
	fatal.If(t, f.AskRemoval(ctx, "Aoi Test", Asked, true))
	r, _, _ := f.RemovalOf(ctx, "Aoi Test")
	if _, err := f.Remove(ctx, r); !errors.Is(err, book.ErrInExam) {
		t.Errorf("while the exam runs: %v", err)
	}
	done(t, f, id, exam.Closed)
	if ok, err := f.Remove(ctx, r); !ok || err != nil {
		t.Fatal(ok, err)
	}
	left, err := f.Shot(ctx, s.ID)
	if err != nil || left.Who != strconv.Itoa(number) || left.Result == 0 || left.Name != "" || strings.Contains(left.Owner, "Aoi") {
		t.Errorf("left is %+v, %v", left, err)
	}
	if _, _, err := f.book.CheckExam(ctx, id); err != nil {
		t.Errorf("the record does not hold: %v", err)
	}
	if files, _ := os.ReadDir(filepath.Join(f.Dir(), PhotosDir)); len(files) != 0 {
		t.Error("the photo is still there")
	}
}

func TestAskedRemoval(t *testing.T) {
	f, ctx := open4test(t), t.Context()
	for range 2 {
		fatal.If(t, f.AskRemoval(ctx, leaver, Asked, false))
	}
	if open, _, err := f.Removals(ctx, 1); err != nil || len(open) != 1 || open[0].Going {
		t.Errorf("%+v, %v", open, err)
	}
	receive(t, f, theirTray(leaver), numbered(t, 1)) // until it is confirmed all goes on
	fatal.If(t, f.TakeBackRemoval(ctx, leaver))
	if _, there, _ := f.RemovalOf(ctx, leaver); there {
		t.Error("what was taken back is still there")
	}
	f.AskRemoval(ctx, leaver, Asked, true)
	f.AskRemoval(ctx, leaver, Asked, false)
	f.TakeBackRemoval(ctx, leaver)
	if r, there, _ := f.RemovalOf(ctx, leaver); !there || !r.Going {
		t.Error("what was begun was undone")
	}
}

// Killed at any moment, the removal is finished by the next program, and nothing of the
// others is lost.
func TestRemoveKilled(t *testing.T) {
	enginetest.FileOnly(t, "a server's transactions end with it")
	if dir := os.Getenv("NETAGAUGE_REMOVE"); dir != "" {
		removeAll(t, dir)
		return
	}
	if testing.Short() {
		t.Skip("starts processes")
	}
	dir := filepath.Join(t.TempDir(), "kitchen")
	f, err := Open(t.Context(), dir, program)
	fatal.If(t, err)
	f.Limits.Free = 0
	f.SetSession(t.Context(), Session{Kind: Class, Name: "Monday", HeldOn: time.Now(), Ticket: told()})
	for i := range 30 {
		name := leaver
		if i%3 == 0 {
			name = "Bo Test"
		}
		fatal.If(t, keep(t.Context(), f, receive(t, f, theirTray(name), numbered(t, i)), measured(i), make([]byte, 20_000)))
	}
	fatal.If(t, f.AskRemoval(t.Context(), leaver, Asked, true))
	f.Close()
	kills := 0
	for wait := 5 * time.Millisecond; ; wait += wait / 10 { // a slow machine takes seconds to begin
		c := exec.Command(os.Args[0], "-test.run", "^TestRemoveKilled$")
		c.Env = append(os.Environ(), "NETAGAUGE_REMOVE="+dir)
		fatal.If(t, c.Start())
		timer := time.AfterFunc(wait, func() { c.Process.Signal(syscall.SIGKILL) })
		err := c.Wait()
		timer.Stop()
		if err == nil {
			break
		}
		if c.ProcessState.Exited() {
			t.Fatalf("removing failed by itself: %v", err)
		}
		kills++
	}
	t.Logf("killed %d times", kills)
	if f, err = Open(t.Context(), dir, program); err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if f.found.Unclaimed+f.found.Missing != 0 {
		t.Errorf("found %+v", f.found)
	}
	left, err := f.List(t.Context(), Filter{})
	if err != nil || len(left) != 10 {
		t.Errorf("%d shots are left, want 10: %v", len(left), err)
	}
	for _, s := range left {
		if labels, err := f.book.Labels(t.Context(), []int64{s.Result}); len(labels) == 0 || s.Who != "Bo Test" {
			t.Errorf("%+v: %v, %v", s, labels, err)
		}
	}
	nothingOf(t, dir, leaver)
}

// removeAll is the child that is killed.
func removeAll(t *testing.T, dir string) {
	f, err := Open(t.Context(), dir, program)
	fatal.If(t, err)
	open, _, err := f.Removals(t.Context(), 1)
	fatal.If(t, err)
	for _, r := range open {
		if ok, err := f.Remove(t.Context(), r); !ok || err != nil {
			t.Fatal(ok, err)
		}
	}
	fatal.If(t, f.Close())
}
