package photos_test

import (
	"os"
	"path/filepath"
	"testing"

	"netagauge/internal/keep/photos"
	"netagauge/internal/keep/photos/photostest"
)

func TestFolder(t *testing.T) {
	photostest.Run(t, func(t *testing.T) photostest.Bench {
		dir := t.TempDir()
		open := func() photos.Store {
			s, err := photos.InFolder(filepath.Join(dir, "photos"), filepath.Join(dir, "unclaimed"))
			if err != nil {
				t.Fatal(err)
			}
			return s
		}
		arriving := filepath.Join(dir, "tmp")
		if err := os.Mkdir(arriving, 0o700); err != nil {
			t.Fatal(err)
		}
		return photostest.Bench{Store: open(), Arriving: arriving, Again: open, Many: 2500, Put: func(name, text string) {
			if err := os.WriteFile(filepath.Join(dir, "photos", name), []byte(text), 0o600); err != nil {
				t.Fatal(err)
			}
		}}
	})
}
