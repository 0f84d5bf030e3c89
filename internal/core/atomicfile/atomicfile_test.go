package atomicfile

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"netagauge/internal/core/fatal"
)

func read(t *testing.T, path string) string {
	t.Helper()
	b, err := os.ReadFile(path)
	fatal.If(t, err)
	return string(b)
}

// alone fails when anything but the named files is left in the folder.
func alone(t *testing.T, dir string, names ...string) {
	t.Helper()
	entries, err := os.ReadDir(dir)
	fatal.If(t, err)
	var got []string
	for _, e := range entries {
		got = append(got, e.Name())
	}
	if strings.Join(got, " ") != strings.Join(names, " ") {
		t.Errorf("the folder holds %q, want %q", got, names)
	}
}

func TestWrite(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "r.json")
	for _, text := range []string{"first", "second, longer", ""} {
		fatal.If(t, Write(path, []byte(text)))
		if got := read(t, path); got != text {
			t.Errorf("got %q, want %q", got, text)
		}
	}
	if info, _ := os.Stat(path); info.Mode().Perm() != 0o644 {
		t.Errorf("mode %v, want 0644: others must be able to read a report", info.Mode())
	}
	alone(t, dir, "r.json")
}

func TestKeepsModeAndLink(t *testing.T) {
	dir := t.TempDir()
	path, link := filepath.Join(dir, "a"), filepath.Join(dir, "b")
	fatal.If(t, os.WriteFile(path, nil, 0o600))
	fatal.If(t, os.Symlink(path, link))
	fatal.If(t, Write(link, []byte("x")))
	if got := read(t, path); got != "x" {
		t.Errorf("the link's target holds %q", got)
	}
	if info, _ := os.Lstat(link); info.Mode()&os.ModeSymlink == 0 {
		t.Error("the link was replaced by a file")
	}
	if info, _ := os.Stat(path); info.Mode().Perm() != 0o600 {
		t.Errorf("mode became %v", info.Mode())
	}
}

func TestFailureLeavesWhatWasThere(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "r.csv")
	fatal.If(t, Write(path, []byte("old")))
	half := errors.New("half-way")
	fill := func(w io.Writer) error {
		io.WriteString(w, "new but")
		return half
	}
	if err := WriteTo(path, fill); !errors.Is(err, half) {
		t.Errorf("error %v does not carry the cause", err)
	}
	func() {
		defer func() { recover() }()
		WriteTo(path, func(io.Writer) error { panic("fill") })
	}()
	if got := read(t, path); got != "old" {
		t.Errorf("after a failed write the file holds %q", got)
	}
	alone(t, dir, "r.csv")
}

func TestErrorsNameThePathAndNotTheTemporaryFile(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, "file")
	fatal.If(t, Write(file, nil))
	for _, bad := range []string{dir, filepath.Join(dir, "no", "x"), filepath.Join(file, "x"), ""} {
		err := Write(bad, []byte("x"))
		if err == nil || !strings.Contains(err.Error(), bad) || strings.Contains(err.Error(), ".tmp") {
			t.Errorf("Write(%q): %v", bad, err)
		}
	}
	alone(t, dir, "file")
}

func TestFullDevice(t *testing.T) {
	if _, err := os.Stat("/dev/full"); err != nil {
		t.Skip("this system has no /dev/full")
	}
	if err := Write("/dev/full", []byte("x")); err == nil {
		t.Error("writing to a full device gave no error")
	}
	if info, err := os.Stat("/dev/full"); err != nil || info.Mode().IsRegular() {
		t.Error("the device was replaced by a file")
	}
}

// What a killed process left is swept, and nothing else.
func TestSweep(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "odd [name]")
	fatal.If(t, os.Mkdir(dir, 0o700))
	left, err := os.CreateTemp(dir, temporary)
	fatal.If(t, err)
	left.Close()
	fatal.If(t, Write(filepath.Join(dir, "kept.tmp"), []byte("x")))
	fatal.If(t, Sweep(dir))
	files, err := os.ReadDir(dir)
	if err != nil || len(files) != 1 || files[0].Name() != "kept.tmp" {
		t.Errorf("%v, %v", files, err)
	}
}
