package settings

import (
	"context"
	"os"
	"path/filepath"
	"sync"

	"netagauge/internal/core/atomicfile"
)

// Folder keeps each text in a file of a data folder, which one process writes to.
type Folder struct {
	dir string
	mu  sync.Mutex
}

// InFolder keeps texts in the folder dir.
func InFolder(dir string) *Folder { return &Folder{dir: dir} }

// Read reads the file of that name.
func (f *Folder) Read(_ context.Context, name string) (string, error) {
	if err := known(name); err != nil {
		return "", err
	}
	data, err := os.ReadFile(filepath.Join(f.dir, name))
	return string(data), err
}

// Keep writes the file, which only its owner may read.
func (f *Folder) Keep(_ context.Context, name, text string) error {
	if err := known(name); err != nil {
		return err
	}
	f.mu.Lock()
	defer f.mu.Unlock()
	return f.write(name, text)
}

// Replace writes the file, if it is as it was, after the others: when it is stopped, what
// they say of the text to come is said of the one that is there.
func (f *Folder) Replace(ctx context.Context, name, before, text string, with ...Named) (bool, error) {
	if err := known(name, with...); err != nil {
		return false, err
	}
	f.mu.Lock()
	defer f.mu.Unlock()
	now, err := Text(ctx, f, name)
	if err != nil || now != before {
		return false, err
	}
	for _, n := range with {
		if err := f.write(n.Name, n.Text); err != nil {
			return false, err
		}
	}
	return true, f.write(name, text)
}

func (f *Folder) write(name, text string) error {
	return atomicfile.WritePrivate(filepath.Join(f.dir, name), []byte(text))
}
