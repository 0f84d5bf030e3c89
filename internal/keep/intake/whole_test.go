package intake

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"netagauge/internal/core/fatal"
	"netagauge/internal/keep/enginetest"
	"netagauge/internal/keep/settings"
)

// three are in a folder, one of them measured.
func three(t *testing.T) *Folder {
	t.Helper()
	f := open4test(t)
	for i := range 3 {
		receive(t, f, sent("7"), numbered(t, i))
	}
	keepNext(t, f, measured(1))
	return f
}

// A folder that has lost its list, or its book, is not taken for a new one, and
// nothing in it is moved.
func TestFolderThatLostAFile(t *testing.T) {
	enginetest.FileOnly(t, "a folder is one server's")
	for name, want := range map[string]error{ListFile: ErrNoList, BookFile: ErrNoBook} {
		f := three(t)
		dir := f.Dir()
		fatal.If(t, f.Close())
		fatal.If(t, os.Remove(filepath.Join(dir, name)))
		before := photosOf(t, dir)
		again, err := Open(t.Context(), dir, program)
		if !errors.Is(err, want) || !strings.Contains(err.Error(), "netagauge restore") {
			t.Errorf("without %s it opens with %v", name, err)
		}
		if err == nil {
			again.Close()
		}
		if after := photosOf(t, dir); len(after) != 3 || len(after) != len(before) {
			t.Errorf("without %s: %d photos are there, %d were", name, len(after), len(before))
		}
	}
}

func photosOf(t *testing.T, dir string) []os.DirEntry {
	t.Helper()
	files, err := os.ReadDir(filepath.Join(dir, PhotosDir))
	fatal.If(t, err)
	return files
}

// Whatever the mode of the folder, only the owner reads what is in it, the write-
// ahead logs and what an earlier program left open among them.
func TestFilesArePrivate(t *testing.T) {
	enginetest.FileOnly(t, "a folder is one server's")
	f := three(t)
	fatal.If(t, os.WriteFile(filepath.Join(f.Dir(), settings.Roster), []byte("label,name\n07,Trainee 7\n"), 0o600))
	dir := f.Dir()
	private(t, dir)
	fatal.If(t, os.Chmod(dir, 0o755))
	fatal.If(t, os.Chmod(filepath.Join(dir, settings.Roster), 0o644))
	f.Close()
	fatal.If(t, os.Chmod(filepath.Join(dir, BookFile), 0o644))
	f, err := Open(t.Context(), dir, program)
	fatal.If(t, err)
	defer f.Close()
	receive(t, f, sent("8"), numbered(t, 8))
	private(t, dir)
}

func private(t *testing.T, dir string) {
	t.Helper()
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
