package photos

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"netagauge/internal/core/atomicfile"
	"netagauge/internal/core/fatal"
	"os"
	"path/filepath"
	"slices"
	"testing"
)

// A photo's bytes last before it has its name, and its name lasts before Put returns:
// POSIX promises no order of its own. When one step fails, no later one is done.
func TestOrderOfWhatLasts(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "photos")
	f, err := InFolder(dir, dir+"-aside")
	fatal.If(t, err)
	var done []string
	broken := errors.New("broken disk")
	for fails := range 4 {
		a := arrive(t, []byte("photo"))
		done = nil
		step := func(what string, do func() error) error {
			if len(done) == fails {
				return broken
			}
			done = append(done, what)
			return do()
		}
		f.disk = disk{
			sync: func(path string) error {
				what := map[string]string{a.Path: "bytes last", dir: "name lasts"}[path]
				return step(what, func() error { return atomicfile.Sync(path) })
			},
			rename: func(from, to string) error {
				return step("named", func() error { return os.Rename(from, to) })
			},
		}
		err := f.Put(t.Context(), "a.jpg", a)
		if want := []string{"bytes last", "named", "name lasts"}[:min(fails, 3)]; !slices.Equal(done, want) || errors.Is(err, broken) != (fails < 3) {
			t.Errorf("failing at step %d: %v was done, %v", fails, done, err)
		}
	}
}

func arrive(t *testing.T, data []byte) Arrived {
	t.Helper()
	path := filepath.Join(t.TempDir(), "arriving")
	fatal.If(t, os.WriteFile(path, data, 0o600))
	sum := sha256.Sum256(data)
	return Arrived{path, int64(len(data)), hex.EncodeToString(sum[:])}
}
