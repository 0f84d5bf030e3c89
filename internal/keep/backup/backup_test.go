package backup

import (
	"archive/tar"
	"bytes"
	"compress/gzip"
	"encoding/json"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"netagauge/internal/core/fatal"
	"netagauge/internal/keep/archive"
	"netagauge/internal/keep/intake"
	"netagauge/internal/keep/settings"
)

// A folder restored from a backup goes on where the first one was.
func TestBackupAndRestore(t *testing.T) {
	f := filled(t)
	want, err := f.List(t.Context(), intake.Filter{})
	fatal.If(t, err)
	to := again(t, packed(t, f))
	got, err := to.List(t.Context(), intake.Filter{})
	if err != nil || len(got) != len(want) {
		t.Fatalf("%d shots, %v; want %d", len(got), err, len(want))
	}
	for i := range got {
		if got[i].ID != want[i].ID || got[i].State != want[i].State || got[i].Hash != want[i].Hash || got[i].Result != want[i].Result {
			t.Errorf("shot %d is %+v, was %+v", i, got[i], want[i])
		}
		p, err := to.OpenPhoto(t.Context(), got[i])
		if err != nil {
			t.Error(err)
			continue
		}
		p.Close()
	}
	if r, err := to.Book().Report(t.Context(), got[0].Result); err != nil || len(r.Pieces) != 1 {
		t.Errorf("report %+v, %v", r, err)
	}
	if text, err := os.ReadFile(filepath.Join(to.Dir(), settings.Roster)); err != nil || !strings.HasPrefix(string(text), "label") {
		t.Errorf("roster %q, %v", text, err)
	}
	if to.Found() != (intake.Found{}) {
		t.Errorf("opening found %+v to put right", to.Found())
	}
	if next := receive(t, to, 9); next.Number != 4 {
		t.Errorf("the next shot is number %d, want 4", next.Number)
	}
}

// Only the owner reads what was restored.
func TestRestoredIsPrivate(t *testing.T) {
	dir := again(t, packed(t, filled(t))).Dir()
	err := filepath.WalkDir(dir, func(path string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() {
			return err
		}
		info, err := e.Info()
		if err == nil && info.Mode().Perm() != 0o600 {
			t.Errorf("%s has mode %v", e.Name(), info.Mode().Perm())
		}
		return err
	})
	fatal.If(t, err)
}

// A backup taken while photos arrive and results are kept restores whole.
func TestBackupWhileInUse(t *testing.T) {
	f := kitchen(t)
	stop, done := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(done)
		for i := 0; ; i++ {
			select {
			case <-stop:
				return
			default:
			}
			receive(t, f, i)
			keepNext(t, f, make([]byte, 50_000))
		}
	}()
	for range 3 {
		data := packed(t, f)
		to := again(t, data)
		shots, err := to.List(t.Context(), intake.Filter{States: []intake.State{intake.Measured}})
		if err != nil {
			t.Error(err)
		}
		for _, s := range shots {
			if _, err := to.Book().Report(t.Context(), s.Result); err != nil {
				t.Errorf("shot %d has no result: %v", s.Number, err)
			}
		}
		t.Logf("%d measured shots in a backup of %d kB", len(shots), len(data)>>10)
	}
	close(stop)
	<-done
}

func TestRestoreRefuses(t *testing.T) {
	whole := packed(t, filled(t))
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
	f := filled(t)
	data := packed(t, f)
	if err := Restore(t.Context(), bytes.NewReader(data), f.Dir()); err == nil || !strings.Contains(err.Error(), "not empty") {
		t.Errorf("into the folder itself: %v", err)
	}
	empty := t.TempDir()
	if err := Restore(t.Context(), bytes.NewReader(data), empty); err != nil {
		t.Errorf("into an empty folder: %v", err)
	}
	half := t.TempDir()
	fatal.If(t, os.Mkdir(filepath.Join(half, intake.UnfinishedDir), 0o700))
	if _, err := intake.Open(t.Context(), half, "v1"); !errors.Is(err, intake.ErrUnfinished) {
		t.Errorf("a folder half restored opens: %v", err)
	}
}

// Neither a photo that somebody took away nor one that was dropped keeps the rest from
// being saved.
func TestBackupWithoutAPhoto(t *testing.T) {
	for name, dropped := range map[string]string{"taken away": ``, "dropped": `UPDATE shot SET dropped = '2026-11-26T10:00:00Z' WHERE number = 1`} {
		f := filled(t)
		shots, err := f.List(t.Context(), intake.Filter{})
		fatal.If(t, err)
		fatal.If(t, os.Remove(filepath.Join(f.Dir(), intake.PhotosDir, shots[0].ID+".jpg")))
		f.Close()
		onList(t, f.Dir(), dropped)
		var m archive.Manifest
		data := packed(t, f)
		if err := json.Unmarshal(filesOf(t, data)[manifestFile], &m); err != nil || len(m.Absent) > 0 != (dropped == "") {
			t.Errorf("%s: %q are said to be absent, %v", name, m.Absent, err)
		}
		again(t, data)
	}
}

// onList runs statements on the list of a folder that nobody has open.
func onList(t *testing.T, dir, statements string) {
	t.Helper()
	path := filepath.Join(dir, intake.ListFile)
	data, err := os.ReadFile(path)
	if err == nil {
		err = os.WriteFile(path, changed(t, data, statements), 0o600)
	}
	fatal.If(t, err)
}

func tarOf(t testing.TB, fill func(*tar.Writer)) []byte {
	t.Helper()
	var out bytes.Buffer
	zip := gzip.NewWriter(&out)
	w := tar.NewWriter(zip)
	fill(w)
	fatal.If(t, errors.Join(w.Close(), zip.Close()))
	return out.Bytes()
}

// repacked is a backup with something changed in its files.
func repacked(t testing.TB, whole []byte, change func(h *tar.Header, data *[]byte)) []byte {
	t.Helper()
	zip, err := gzip.NewReader(bytes.NewReader(whole))
	fatal.If(t, err)
	in := tar.NewReader(zip)
	return tarOf(t, func(w *tar.Writer) {
		for {
			h, err := in.Next()
			if errors.Is(err, io.EOF) {
				return
			}
			fatal.If(t, err)
			data, err := io.ReadAll(in)
			fatal.If(t, err)
			change(h, &data)
			h.Size = int64(len(data))
			fatal.If(t, w.WriteHeader(h))
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
