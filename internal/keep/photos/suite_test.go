package photos_test

import (
	"os"
	"path/filepath"
	"testing"

	"netagauge/internal/core/fatal"
	"netagauge/internal/keep/photos"
	"netagauge/internal/keep/photos/photostest"
)

func TestFolder(t *testing.T) {
	photostest.Run(t, func(t *testing.T) photostest.Bench {
		dir := t.TempDir()
		open := func() photos.Store {
			s, err := photos.InFolder(filepath.Join(dir, "photos"), filepath.Join(dir, "unclaimed"))
			fatal.If(t, err)
			return s
		}
		arriving := filepath.Join(dir, "tmp")
		fatal.If(t, os.Mkdir(arriving, 0o700))
		return photostest.Bench{Store: open(), Arriving: arriving, Again: open, Many: 2500, Put: func(name, text string) {
			fatal.If(t, os.WriteFile(filepath.Join(dir, "photos", name), []byte(text), 0o600))
		}}
	})
}
