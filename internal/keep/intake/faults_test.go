package intake

import (
	"bytes"
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io"
	"netagauge/internal/core/fatal"
	"netagauge/internal/keep/enginetest"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"testing"
	"testing/iotest"
	"time"
)

func TestTwoServersOnOneFolder(t *testing.T) {
	enginetest.FileOnly(t, "a folder is one server's")
	f := open4test(t)
	if _, err := Open(t.Context(), f.Dir(), program); !errors.Is(err, ErrInUse) {
		t.Errorf("a second server: %v, want %v", err, ErrInUse)
	}
	fatal.If(t, f.Close())
	again, err := Open(t.Context(), f.Dir(), program)
	if err != nil {
		t.Fatalf("after the first has ended: %v", err)
	}
	again.Close()
}

func TestQueueFull(t *testing.T) {
	f := open4test(t)
	f.Limits.Waiting = 3
	var all sync.WaitGroup
	var mu sync.Mutex
	taken, busy := 0, 0
	for i := range 10 { // at once, so that arriving ones count
		all.Go(func() {
			_, err := f.Receive(t.Context(), sent("7"), bytes.NewReader(numbered(t, i)))
			mu.Lock()
			defer mu.Unlock()
			switch {
			case err == nil:
				taken++
			case errors.Is(err, ErrBusy):
				busy++
			default:
				t.Error(err)
			}
		})
	}
	all.Wait()
	if n, err := f.Waiting(t.Context()); err != nil || n != taken || taken < 1 || taken > 3 || taken+busy != 10 {
		t.Errorf("%d taken, %d turned away, %d wait (%v); want at most 3", taken, busy, n, err)
	}
	keepNext(t, f, measured(1))
	receive(t, f, sent("7"), numbered(t, 99))
}

// The same photo sent again, also at the same moment, is one shot.
func TestSentAgain(t *testing.T) {
	f := open4test(t)
	ids := make([]string, 6)
	var all sync.WaitGroup
	for i := range ids {
		all.Go(func() {
			s, err := f.Receive(t.Context(), sent("7"), bytes.NewReader(sampleJPEG(t)))
			if err != nil {
				t.Error(err)
			}
			ids[i] = s.ID
		})
	}
	all.Wait()
	for _, id := range ids {
		if id != ids[0] {
			t.Errorf("one photo became the shots %v", ids)
			break
		}
	}
	if files, _ := os.ReadDir(filepath.Join(f.Dir(), PhotosDir)); len(files) != 1 {
		t.Errorf("%d files for one photo", len(files))
	}
	other := sent("8")
	if s := receive(t, f, other, sampleJPEG(t)); s.ID == ids[0] {
		t.Error("the same photo of another owner is the first one's shot")
	}
	s, _, err := f.Next(t.Context())
	fatal.If(t, err)
	fatal.If(t, f.Fail(t.Context(), s, CodeStopped, nil))
	if again := receive(t, f, sent("7"), sampleJPEG(t)); again.ID == s.ID {
		t.Error("a photo that failed is not tried again when it is sent again")
	}
}

// A phone that goes away, or is slow, leaves nothing.
func TestCutShort(t *testing.T) {
	f := open4test(t)
	gone := errors.New("connection reset")
	_, err := f.Receive(t.Context(), sent("7"), io.MultiReader(bytes.NewReader(sampleJPEG(t)[:5000]), iotest.ErrReader(gone)))
	if !errors.Is(err, ErrCutShort) || !errors.Is(err, gone) || strings.Contains(err.Error(), "reset") {
		t.Errorf("error %v, want only the sentence of %v", err, ErrCutShort)
	}
	if _, err := f.Receive(t.Context(), sent("7"), iotest.OneByteReader(bytes.NewReader(sampleJPEG(t)[:70_000]))); err != nil {
		t.Errorf("byte by byte: %v", err)
	}
	if left, _ := os.ReadDir(filepath.Join(f.Dir(), TmpDir)); len(left) > 0 {
		t.Errorf("%d files are left", len(left))
	}
}

// What a stopped server leaves is put right: see recover.
func TestRecover(t *testing.T) {
	enginetest.FileOnly(t, "the queue of a server lets go of what a stopped process had")
	f := open4test(t)
	for i := range 3 {
		receive(t, f, sent("7"), numbered(t, i))
	}
	inHand, _, err := f.Next(t.Context())
	fatal.If(t, err)
	all, err := f.List(t.Context(), Filter{})
	fatal.If(t, err)
	dir := f.Dir()
	f.Close()
	for name, data := range map[string]string{"tmp/arriving-1": "half", "photos/ORPHAN.jpg": "whole"} {
		fatal.If(t, os.WriteFile(filepath.Join(dir, name), []byte(data), 0o600))
	}
	fatal.If(t, os.Remove(filepath.Join(dir, PhotosDir, all[2].file())))
	again, err := Open(t.Context(), dir, program)
	fatal.If(t, err)
	defer again.Close()
	if again.Found() != (Found{Interrupted: 1, Unclaimed: 1, Missing: 1}) {
		t.Errorf("found %+v", again.Found())
	}
	if s, found, err := again.Next(t.Context()); err != nil || !found || s.ID != inHand.ID {
		t.Errorf("next is %+v, %v, %v; want the one that was in hand", s, found, err)
	}
	if s, err := again.Shot(t.Context(), all[2].ID); err != nil || s.State != Failed || s.Code != CodeMissing {
		t.Errorf("the shot without a photo is %+v, %v", s, err)
	}
	if data, err := os.ReadFile(filepath.Join(dir, "unclaimed/ORPHAN.jpg")); err != nil || string(data) != "whole" {
		t.Errorf("the photo without a row: %q, %v", data, err)
	}
	if left, _ := os.ReadDir(filepath.Join(dir, TmpDir)); len(left) > 0 {
		t.Error("half a photo is left")
	}
}

// Killed between keeping a result and saying so, a photo is not measured twice.
func TestKeptButNotSaid(t *testing.T) {
	enginetest.FileOnly(t, "the queue of a server lets go of what a stopped process had")
	f := open4test(t)
	receive(t, f, sent("7"), sampleJPEG(t))
	s, _, err := f.Next(t.Context())
	fatal.If(t, err)
	id, err := inBook(t.Context(), f, s, measured(1), nil)
	fatal.If(t, err)
	dir := f.Dir()
	f.Close()
	again, err := Open(t.Context(), dir, program)
	fatal.If(t, err)
	defer again.Close()
	s, _, err = again.Next(t.Context())
	fatal.If(t, err)
	fatal.If(t, keep(t.Context(), again, s, measured(1), nil))
	if got, err := again.Shot(t.Context(), s.ID); err != nil || got.State != Measured || got.Result != id {
		t.Errorf("shot %+v, %v", got, err)
	}
}

// Another program that holds the list makes Receive wait, not fail or lose.
func TestListLocked(t *testing.T) {
	enginetest.FileOnly(t, "a server locks no list")
	f := open4test(t)
	other, err := sql.Open("sqlite3", "file:"+strings.NewReplacer("%", "%25", "?", "%3f", "#", "%23").Replace(filepath.Join(f.Dir(), ListFile))+"?_txlock=immediate")
	fatal.If(t, err)
	defer other.Close()
	tx, err := other.Begin()
	fatal.If(t, err)
	start := time.Now()
	time.AfterFunc(300*time.Millisecond, func() { tx.Rollback() })
	receive(t, f, sent("7"), sampleJPEG(t))
	if time.Since(start) < 250*time.Millisecond {
		t.Error("the list was not locked")
	}
	// One that does not let go at all is told in plain words.
	if tx, err = other.Begin(); err != nil {
		t.Fatal(err)
	}
	defer tx.Rollback()
	if _, err := f.db.ExecContext(t.Context(), `PRAGMA busy_timeout = 100`); err != nil {
		t.Fatal(err)
	}
	if _, err := f.Receive(t.Context(), sent("7"), bytes.NewReader(numbered(t, 5))); !errors.Is(err, ErrLocked) {
		t.Errorf("error %v, want %v", err, ErrLocked)
	}
	if files, _ := os.ReadDir(filepath.Join(f.Dir(), PhotosDir)); len(files) != 1 {
		t.Errorf("%d photos are on the disk; the one that is not in the list must not be", len(files))
	}
}

// smallDisk is a folder on a file system of so many bytes.
func smallDisk(t *testing.T, bytes int) string {
	t.Helper()
	dir := t.TempDir()
	if err := syscall.Mount("tmpfs", dir, "tmpfs", 0, fmt.Sprintf("size=%d", bytes)); err != nil {
		t.Skipf("no small disk can be made here: %v", err)
	}
	t.Cleanup(func() { syscall.Unmount(dir, syscall.MNT_DETACH) })
	return dir
}

// On a full disk a photo is not received, and said so; what was received stays,
// and with room again everything goes on.
func TestDiskFull(t *testing.T) {
	disk := smallDisk(t, 6<<20)
	dir := filepath.Join(disk, "kitchen")
	ballast, rest := filepath.Join(disk, "ballast"), filepath.Join(disk, "rest")
	fatal.If(t, os.WriteFile(ballast, make([]byte, 3<<20), 0o600))
	f, err := Open(t.Context(), dir, program)
	fatal.If(t, err)
	defer f.Close()
	f.Limits.Free = 0
	fatal.If(t, f.SetSession(t.Context(), Session{Kind: Class, Name: "Monday", HeldOn: time.Now(), Ticket: told()}))
	received, full := 0, error(nil)
	for i := 0; i < 50 && full == nil; i++ {
		photo := append(numbered(t, i), make([]byte, 300_000)...)
		if _, err := f.Receive(t.Context(), sent("7"), bytes.NewReader(photo)); err != nil {
			full = err
			break
		}
		received++
	}
	if !errors.Is(full, ErrFull) || received == 0 {
		t.Fatalf("after %d photos: %v, want %v", received, full, ErrFull)
	}
	// Fill what is left, so that the databases have no room either.
	fill(rest)
	s, _, err := f.Next(t.Context())
	for err == nil {
		if err = keep(t.Context(), f, s, measured(1), make([]byte, 200_000)); err == nil {
			t.Fatal("a result was kept on a full disk")
		}
	}
	if _, err := f.Receive(t.Context(), sent("7"), bytes.NewReader(numbered(t, 70))); !errors.Is(err, ErrFull) {
		t.Errorf("a small photo on a full disk: %v", err)
	}
	fatal.If(t, errors.Join(os.Remove(ballast), os.Remove(rest)))
	shots, err := f.List(t.Context(), Filter{})
	if err != nil || len(shots) != received {
		t.Fatalf("%d shots are in the list (%v), %d were received", len(shots), err, received)
	}
	for _, s := range shots {
		if info, err := os.Stat(filepath.Join(dir, PhotosDir, s.file())); err != nil || info.Size() != s.Bytes {
			t.Errorf("photo %d on the disk: %v", s.Number, err)
		}
		if err := keep(t.Context(), f, s, measured(1), nil); err != nil {
			t.Errorf("with room again: %v", err)
		}
	}
}

func fill(path string) {
	out, err := os.Create(path)
	if err != nil {
		return
	}
	defer out.Close()
	for block := make([]byte, 4096); err == nil; {
		_, err = out.Write(block)
	}
}

// Files that may not grow further are as a full disk. The limit is a process's,
// so the test runs in one of its own.
func TestFilesMayNotGrow(t *testing.T) {
	enginetest.FileOnly(t, "the process may not write, a server is another")
	const inside = "NETAGAUGE_TEST_INSIDE"
	if os.Getenv(inside) == "" {
		c := exec.Command(os.Args[0], "-test.run", "^TestFilesMayNotGrow$")
		c.Env = append(os.Environ(), inside+"=1")
		if out, err := c.CombinedOutput(); err != nil {
			t.Errorf("%v\n%s", err, out)
		}
		return
	}
	f := open4test(t)
	fatal.If(t, syscall.Setrlimit(syscall.RLIMIT_FSIZE, &syscall.Rlimit{Cur: 300_000, Max: 300_000}))
	if _, err := f.Receive(t.Context(), sent("7"), bytes.NewReader(sampleJPEG(t))); !errors.Is(err, ErrFull) {
		t.Errorf("a photo of %d bytes: %v, want %v", len(sampleJPEG(t)), err, ErrFull)
	}
	small := receive(t, f, sent("7"), numbered(t, 1))
	s, _, err := f.Next(t.Context())
	for i := 0; err == nil && i < 100; i++ {
		if _, err = f.Again(t.Context(), s.ID, told()); err == nil { // the list's log grows
			err = keep(t.Context(), f, s, measured(i), make([]byte, 50_000))
		}
	}
	if !errors.Is(err, ErrFull) && (err == nil || !strings.Contains(err.Error(), "full")) {
		t.Errorf("databases that may not grow: %v", err)
	}
	if got, err := f.Shot(t.Context(), small.ID); err != nil || got.Bytes != small.Bytes {
		t.Errorf("the photo received is lost: %+v, %v", got, err)
	}
}

// Room for results is kept free: photos are turned away before the disk is full.
func TestRoomForResults(t *testing.T) {
	f := open4test(t)
	f.Limits.Free = 1 << 60
	if _, err := f.Receive(t.Context(), sent("7"), bytes.NewReader(sampleJPEG(t))); !errors.Is(err, ErrFull) {
		t.Errorf("error %v, want %v", err, ErrFull)
	}
}

// A folder on a disk mounted read-only is refused in plain words, whoever asks.
func TestReadOnlyFolder(t *testing.T) {
	root := os.Getuid() == 0 // who may write to what may not be written to
	disk := t.TempDir()
	if root {
		disk = smallDisk(t, 8<<20)
	}
	dir := filepath.Join(disk, "kitchen")
	f, err := Open(t.Context(), dir, program)
	fatal.If(t, err)
	f.Close()
	if root {
		err = syscall.Mount("", disk, "", syscall.MS_REMOUNT|syscall.MS_RDONLY, "")
	} else {
		err = errors.Join(os.Chmod(dir, 0o500), os.Chmod(disk, 0o500))
		t.Cleanup(func() { os.Chmod(disk, 0o700); os.Chmod(dir, 0o700) })
	}
	if err != nil {
		t.Skip(err)
	}
	for name, dir := range map[string]string{"an old folder": dir, "a new one": filepath.Join(disk, "new")} {
		if _, err := Open(context.Background(), dir, program); !errors.Is(err, ErrReadOnly) {
			t.Errorf("%s: %v, want %v", name, err, ErrReadOnly)
		}
	}
}

// No file is a photo only for its name or first bytes, and none ends the program.
func TestMalformedUploads(t *testing.T) {
	f := open4test(t)
	n := 60
	if os.Getenv("NETAGAUGE_LONG") != "" {
		n = 1000
	}
	f.Limits.Waiting, f.Limits.Each = n+1, n+1
	taken, refused := map[string]bool{}, 0 // two of the same photo with something behind are one
	for i := range n {
		s, err := f.Receive(t.Context(), sent("7"), bytes.NewReader(malformed(t, i)))
		switch {
		case err == nil:
			taken[s.ID] = true
		case errors.Is(err, ErrNotAPhoto), errors.Is(err, ErrTooLarge):
			refused++
			if s.ID != "" {
				t.Errorf("upload %d: a shot comes with the error", i)
			}
		default:
			t.Errorf("upload %d: %v", i, err)
		}
	}
	t.Logf("%d malformed uploads: %d turned away by their header, %d taken in to be measured", n, refused, len(taken))
	if files, _ := os.ReadDir(filepath.Join(f.Dir(), PhotosDir)); len(files) != len(taken) {
		t.Errorf("%d files for %d shots", len(files), len(taken))
	}
	if left, _ := os.ReadDir(filepath.Join(f.Dir(), TmpDir)); len(left) > 0 {
		t.Errorf("%d files are left over", len(left))
	}
}
