package atomicfile

import (
	"errors"
	"os"
	"path/filepath"
)

// Sync makes what was made, renamed and removed in a folder last.
func Sync(path string) error {
	d, err := os.Open(path)
	if err != nil {
		return err
	}
	return errors.Join(d.Sync(), d.Close())
}

// Empty removes everything in a folder.
func Empty(path string) error {
	files, err := os.ReadDir(path)
	if err != nil {
		return err
	}
	for _, e := range files {
		if err := os.RemoveAll(filepath.Join(path, e.Name())); err != nil {
			return err
		}
	}
	return nil
}
