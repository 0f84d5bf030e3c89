package archive

import (
	"errors"
	"netagauge/internal/core/atomicfile"
	"netagauge/internal/core/phrase"
	"os"
	"path/filepath"
)

// EmptyOrNew makes sure that nothing is overwritten.
func EmptyOrNew(dir string) (made bool, err error) {
	files, err := os.ReadDir(dir)
	switch {
	case errors.Is(err, os.ErrNotExist):
		return true, os.Mkdir(dir, 0o700)
	case err == nil && len(files) > 0:
		return false, phrase.Wrong("restore-not-empty")
	}
	return false, err
}

// MoveUp puts everything in its place; the folder can be opened when work is gone.
func MoveUp(work, dir string, folders ...string) error {
	files, err := os.ReadDir(work)
	if err != nil {
		return err
	}
	for _, e := range files {
		if err := os.Rename(filepath.Join(work, e.Name()), filepath.Join(dir, e.Name())); err != nil {
			return err
		}
	}
	for _, d := range append(folders, ".") {
		if err := atomicfile.Sync(filepath.Join(dir, d)); err != nil {
			return err
		}
	}
	if err := os.Remove(work); err != nil {
		return err
	}
	return atomicfile.Sync(dir)
}
