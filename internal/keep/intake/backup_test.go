package intake

import (
	"archive/tar"
	"bytes"
	"compress/gzip"
	"errors"
	"io"
	"netagauge/internal/keep/enginetest"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// filled is a folder with a measured, a waiting and a failed shot, and a setting.
func filled(t *testing.T) *Folder {
	t.Helper()
	f := open4test(t)
	for i := range 3 {
		receive(t, f, sent("7"), numbered(t, i))
	}
	for i := range 2 {
		s, found, err := f.Next(t.Context())
		if err != nil || !found {
			t.Fatal(found, err)
		}
		if i == 0 {
			err = keep(t.Context(), f, s, measured(1), []byte{0xff, 0xd8})
		} else {
			err = f.Fail(t.Context(), s, CodeStopped, nil)
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	if err := os.WriteFile(filepath.Join(f.Dir(), "roster.csv"), []byte("label,name\n07,Trainee 7\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	return f
}

func backupOf(t *testing.T, f *Folder) []byte {
	t.Helper()
	var out bytes.Buffer
	if err := Backup(t.Context(), f.Dir(), &out); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

// A folder restored from a backup goes on where the first one was.
func TestBackupAndRestore(t *testing.T) {
	enginetest.FileOnly(t, "a backup is of a folder")
	f := filled(t)
	want, err := f.List(t.Context(), Filter{})
	if err != nil {
		t.Fatal(err)
	}
	dir := filepath.Join(t.TempDir(), "again")
	if err := Restore(t.Context(), bytes.NewReader(backupOf(t, f)), dir); err != nil {
		t.Fatal(err)
	}
	again, err := Open(t.Context(), dir, program)
	if err != nil {
		t.Fatal(err)
	}
	defer again.Close()
	got, err := again.List(t.Context(), Filter{})
	if err != nil || len(got) != len(want) {
		t.Fatalf("%d shots, %v; want %d", len(got), err, len(want))
	}
	for i := range got {
		if got[i].ID != want[i].ID || got[i].State != want[i].State || got[i].Hash != want[i].Hash || got[i].Result != want[i].Result {
			t.Errorf("shot %d is %+v, was %+v", i, got[i], want[i])
		}
		p, err := again.OpenPhoto(t.Context(), got[i])
		if err != nil {
			t.Error(err)
			continue
		}
		p.Close()
	}
	if r, err := again.Book().Report(t.Context(), got[0].Result); err != nil || len(r.Pieces) != 1 {
		t.Errorf("report %+v, %v", r, err)
	}
	if text, err := os.ReadFile(filepath.Join(dir, "roster.csv")); err != nil || !strings.HasPrefix(string(text), "label") {
		t.Errorf("roster %q, %v", text, err)
	}
	if again.Found() != (Found{}) {
		t.Errorf("opening found %+v to put right", again.Found())
	}
	if next := receive(t, again, sent("7"), numbered(t, 9)); next.Number != 4 {
		t.Errorf("the next shot is number %d, want 4", next.Number)
	}
}

// A backup taken while photos arrive and results are kept restores whole.
func TestBackupWhileInUse(t *testing.T) {
	enginetest.FileOnly(t, "a backup is of a folder")
	f := open4test(t)
	stop, done := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(done)
		for i := 0; ; i++ {
			select {
			case <-stop:
				return
			default:
			}
			receive(t, f, sent("7"), numbered(t, i))
			if s, found, err := f.Next(t.Context()); err == nil && found {
				if err := keep(t.Context(), f, s, measured(i), make([]byte, 50_000)); err != nil {
					t.Error(err)
				}
			}
		}
	}()
	for range 3 {
		data := backupOf(t, f)
		dir := filepath.Join(t.TempDir(), "again")
		if err := Restore(t.Context(), bytes.NewReader(data), dir); err != nil {
			t.Error(err)
			continue
		}
		again, err := Open(t.Context(), dir, program)
		if err != nil {
			t.Error(err)
			continue
		}
		shots, err := again.List(t.Context(), Filter{States: []State{Measured}})
		if err != nil {
			t.Error(err)
		}
		for _, s := range shots {
			if _, err := again.Book().Report(t.Context(), s.Result); err != nil {
				t.Errorf("shot %d has no result: %v", s.Number, err)
			}
		}
		t.Logf("%d measured shots in a backup of %d kB", len(shots), len(data)>>10)
		again.Close()
	}
	close(stop)
	<-done
}

func TestRestoreRefuses(t *testing.T) {
	enginetest.FileOnly(t, "a backup is of a folder")
	whole := backupOf(t, filled(t))
	flipped := bytes.Clone(whole)
	flipped[len(flipped)/2] ^= 1
	link := tarOf(t, func(w *tar.Writer) {
		w.WriteHeader(&tar.Header{Name: "intake.sqlite", Typeflag: tar.TypeSymlink, Linkname: "/etc/passwd"})
	})
	for name, c := range map[string]struct {
		data []byte
		want string
	}{
		"nothing":        {nil, "no whole backup"},
		"text":           {[]byte("lunch: 12 slices"), "no whole backup"},
		"cut short":      {whole[:len(whole)-200], "no whole backup"},
		"cut in half":    {whole[:len(whole)/2], "no whole backup"},
		"one bit":        {flipped, "no whole backup"},
		"a way out":      {repacked(t, whole, func(h *tar.Header, _ *[]byte) { h.Name = strings.Replace(h.Name, "roster.csv", "../roster.csv", 1) }), "does not belong"},
		"from the root":  {repacked(t, whole, func(h *tar.Header, _ *[]byte) { h.Name = strings.Replace(h.Name, "roster.csv", "/tmp/roster.csv", 1) }), "does not belong"},
		"a link":         {link, "does not belong"},
		"twice the name": {repacked(t, whole, func(h *tar.Header, _ *[]byte) { h.Name = strings.Replace(h.Name, "roster.csv", "book.sqlite", 1) }), "book.sqlite"},
		"other content": {repacked(t, whole, func(h *tar.Header, data *[]byte) {
			if strings.HasPrefix(h.Name, "photos/") {
				(*data)[100] ^= 1
			}
		}), "not the one that was backed up"},
		"no list": {repacked(t, whole, func(h *tar.Header, _ *[]byte) { h.Name = strings.Replace(h.Name, "intake.sqlite", "outtake.sqlite", 1) }), "does not belong"},
	} {
		parent := t.TempDir()
		dir := filepath.Join(parent, "again")
		err := Restore(t.Context(), bytes.NewReader(c.data), dir)
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: error %v, want one with %q", name, err, c.want)
		}
		if left, err := os.ReadDir(parent); err != nil || len(left) > 0 {
			t.Errorf("%s: %v is left (%v)", name, left, err)
		}
	}
}

func TestRestoreNeedsAnEmptyFolder(t *testing.T) {
	enginetest.FileOnly(t, "a backup is of a folder")
	f := filled(t)
	data := backupOf(t, f)
	if err := Restore(t.Context(), bytes.NewReader(data), f.Dir()); err == nil || !strings.Contains(err.Error(), "not empty") {
		t.Errorf("into the folder itself: %v", err)
	}
	empty := t.TempDir()
	if err := Restore(t.Context(), bytes.NewReader(data), empty); err != nil {
		t.Errorf("into an empty folder: %v", err)
	}
	half := t.TempDir()
	if err := os.Mkdir(filepath.Join(half, restoringDir), 0o700); err != nil {
		t.Fatal(err)
	}
	if _, err := Open(t.Context(), half, program); !errors.Is(err, errRestoring) {
		t.Errorf("a folder half restored opens: %v", err)
	}
}

// A photo that somebody took away does not keep the rest from being saved.
func TestBackupWithoutAPhoto(t *testing.T) {
	enginetest.FileOnly(t, "a backup is of a folder")
	f := filled(t)
	shots, err := f.List(t.Context(), Filter{})
	if err != nil {
		t.Fatal(err)
	}
	if err := os.Remove(filepath.Join(f.Dir(), photosDir, shots[0].file())); err != nil {
		t.Fatal(err)
	}
	if err := Restore(t.Context(), bytes.NewReader(backupOf(t, f)), filepath.Join(t.TempDir(), "again")); err != nil {
		t.Error(err)
	}
}

func tarOf(t testing.TB, fill func(*tar.Writer)) []byte {
	t.Helper()
	var out bytes.Buffer
	zip := gzip.NewWriter(&out)
	w := tar.NewWriter(zip)
	fill(w)
	if err := errors.Join(w.Close(), zip.Close()); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

// repacked is a backup with something changed in its files.
func repacked(t testing.TB, whole []byte, change func(h *tar.Header, data *[]byte)) []byte {
	t.Helper()
	zip, err := gzip.NewReader(bytes.NewReader(whole))
	if err != nil {
		t.Fatal(err)
	}
	in := tar.NewReader(zip)
	return tarOf(t, func(w *tar.Writer) {
		for {
			h, err := in.Next()
			if errors.Is(err, io.EOF) {
				return
			}
			if err != nil {
				t.Fatal(err)
			}
			data, err := io.ReadAll(in)
			if err != nil {
				t.Fatal(err)
			}
			change(h, &data)
			h.Size = int64(len(data))
			if err := w.WriteHeader(h); err != nil {
				t.Fatal(err)
			}
			if _, err := w.Write(data); err != nil {
				t.Fatal(err)
			}
		}
	})
}

// Whatever a backup holds, nothing is written outside the folder, and a refused
// one leaves nothing.
func FuzzRestore(f *testing.F) {
	f.Add("roster.csv", []byte("label,name"), byte(tar.TypeReg), "")
	f.Add("../roster.csv", []byte("label,name"), byte(tar.TypeReg), "")
	f.Add("photos/../../x", []byte{}, byte(tar.TypeReg), "")
	f.Add("photos", []byte{}, byte(tar.TypeSymlink), "/etc")
	f.Add("manifest.json", []byte(`{"Format":1,"Files":[]}`), byte(tar.TypeReg), "")
	f.Fuzz(func(t *testing.T, name string, data []byte, kind byte, link string) {
		parent := t.TempDir()
		archive := tarOf(t, func(w *tar.Writer) {
			for range 2 {
				h := &tar.Header{Name: name, Typeflag: kind, Linkname: link, Size: int64(len(data))}
				if w.WriteHeader(h) == nil {
					w.Write(data)
				}
			}
			w.Flush()
		})
		for _, a := range [][]byte{archive, data} {
			if err := Restore(t.Context(), bytes.NewReader(a), filepath.Join(parent, "again")); err == nil {
				t.Error("it was restored without a list")
			}
			if left, err := os.ReadDir(parent); err != nil || len(left) > 0 {
				t.Errorf("%v is left (%v)", left, err)
			}
		}
	})
}
