package photos

import (
	"context"
	"errors"
	"io/fs"
	"iter"
	"netagauge/internal/core/atomicfile"
	"os"
	"path/filepath"
)

// Folder keeps photos as files of a folder of this computer. What arrives must lie on
// the same disk.
type Folder struct {
	dir, aside string
	disk       disk
}

// disk is what must happen in one order, so that a test can see it.
type disk struct {
	sync   func(path string) error // makes a file, or the names in a folder, last
	rename func(from, to string) error
}

// InFolder is the store in the folder dir, which is made when it is not there. What is
// put aside goes into the folder of that name, made when it is needed.
func InFolder(dir, aside string) (*Folder, error) {
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return nil, err
	}
	return &Folder{dir, aside, disk{atomicfile.Sync, os.Rename}}, nil
}

// path is where what is called so lies.
func (f *Folder) path(name string) string { return filepath.Join(f.dir, name) }

// Put makes the file last, gives it its name and makes that last.
func (f *Folder) Put(ctx context.Context, name string, a Arrived) error {
	if err := errors.Join(Named(name), ctx.Err()); err != nil {
		return err
	}
	if err := f.whole(a); err != nil {
		return err
	}
	if err := f.disk.sync(a.Path); err != nil {
		return err
	}
	if err := f.disk.rename(a.Path, f.path(name)); err != nil {
		return err
	}
	return f.disk.sync(f.dir)
}

// whole holds the arrived file to its hash.
func (f *Folder) whole(a Arrived) error {
	file, err := os.Open(a.Path)
	if err != nil {
		return err
	}
	defer file.Close()
	return a.Check(file)
}

// Open opens the photo itself.
func (f *Folder) Open(_ context.Context, name string) (*os.File, error) {
	if err := Named(name); err != nil {
		return nil, err
	}
	return os.Open(f.path(name))
}

// Delete removes the photo, and makes that last.
func (f *Folder) Delete(_ context.Context, name string) error {
	if err := Named(name); err != nil {
		return err
	}
	if err := os.Remove(f.path(name)); err != nil {
		if errors.Is(err, fs.ErrNotExist) {
			return nil
		}
		return err
	}
	return f.disk.sync(f.dir)
}

// Stat looks at the photo's file.
func (f *Folder) Stat(_ context.Context, name string) (Info, error) {
	if err := Named(name); err != nil {
		return Info{}, err
	}
	info, err := os.Stat(f.path(name))
	if err != nil {
		return Info{}, err
	}
	return Info{Bytes: info.Size(), Kept: info.ModTime()}, nil
}

// List shows whatever lies in the folder, also what no store put there.
func (f *Folder) List(ctx context.Context, after string) iter.Seq2[string, error] {
	return func(yield func(string, error) bool) {
		files, err := os.ReadDir(f.dir)
		if err != nil {
			yield("", err)
			return
		}
		for _, e := range files {
			if err := ctx.Err(); err != nil {
				yield("", err)
				return
			}
			if e.Name() > after && !yield(e.Name(), nil) {
				return
			}
		}
	}
}

// Aside moves it into the other folder.
func (f *Folder) Aside(_ context.Context, name string) error {
	if filepath.Base(name) != name { // not held to a photo's name: List shows others
		return Named(name)
	}
	if err := os.MkdirAll(f.aside, 0o700); err != nil {
		return err
	}
	return f.disk.rename(f.path(name), filepath.Join(f.aside, name))
}
