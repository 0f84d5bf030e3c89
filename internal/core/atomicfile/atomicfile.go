// Package atomicfile writes a file whole or not at all: into a temporary file
// beside the target, flushed to the disk, then renamed over it. A failed write
// leaves what was there before and nothing half-written. It never creates
// folders. Beside that stand the few things that a folder of files needs to last: Sync,
// Empty and Lock.
package atomicfile

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"strconv"
	"syscall"

	"netagauge/internal/core/phrase"
)

// temporary is the name of a file that is not whole yet.
const temporary = ".netagauge-*.tmp"

// Sweep removes from a folder what a process left that was killed while it wrote there.
func Sweep(dir string) error {
	files, err := os.ReadDir(dir)
	for _, f := range files {
		if left, _ := filepath.Match(temporary, f.Name()); left {
			err = errors.Join(err, os.Remove(filepath.Join(dir, f.Name())))
		}
	}
	return err
}

// Write puts data into the file at path.
func Write(path string, data []byte) error {
	return WriteTo(path, func(w io.Writer) error {
		_, err := w.Write(data)
		return err
	})
}

// WriteTo puts whatever fill writes into the file at path. When fill fails its
// error is returned and the file is as before. A symbolic link is followed; a
// device or pipe, such as /dev/stdout, is written directly.
func WriteTo(path string, fill func(io.Writer) error) error {
	return said(path, writeTo(path, 0o644, fill))
}

// private is the mode of what only its owner may read, whatever the folder's.
const private = 0o600

// WritePrivate is Write for what only its owner may read.
func WritePrivate(path string, data []byte) error {
	return WritePrivateTo(path, func(w io.Writer) error {
		_, err := w.Write(data)
		return err
	})
}

// WritePrivateTo is WriteTo for what only its owner may read.
func WritePrivateTo(path string, fill func(io.Writer) error) error {
	return said(path, writeTo(path, private, fill))
}

func said(path string, err error) error {
	if err == nil {
		return nil
	}
	return phrase.Because(cause(err), "file-write", strconv.Quote(path))
}

func writeTo(path string, mode os.FileMode, fill func(io.Writer) error) error {
	info, err := os.Stat(path)
	switch {
	case err == nil && info.IsDir():
		return syscall.EISDIR
	case err == nil && !info.Mode().IsRegular():
		return direct(path, fill)
	case err == nil:
		if mode != private {
			mode = info.Mode().Perm()
		}
		if path, err = filepath.EvalSymlinks(path); err != nil {
			return err
		}
	case !errors.Is(err, os.ErrNotExist):
		return err
	}
	return replace(path, mode, fill)
}

func direct(path string, fill func(io.Writer) error) error {
	f, err := os.OpenFile(path, os.O_WRONLY, 0)
	if err != nil {
		return err
	}
	return errors.Join(fill(f), f.Close())
}

func replace(path string, mode os.FileMode, fill func(io.Writer) error) (err error) {
	f, err := os.CreateTemp(filepath.Dir(path), temporary)
	if err != nil {
		return err
	}
	done := false
	defer func() { // also when fill panics
		if !done {
			f.Close()
			os.Remove(f.Name())
		}
	}()
	if err := fill(f); err != nil {
		return err
	}
	if err := errors.Join(f.Chmod(mode), f.Sync(), f.Close()); err != nil {
		return err
	}
	if err := os.Rename(f.Name(), path); err != nil {
		return err
	}
	done = true
	return nil
}

// cause drops the temporary file's name, which means nothing to a person.
func cause(err error) error {
	var path *os.PathError
	if errors.As(err, &path) {
		return path.Err
	}
	var link *os.LinkError
	if errors.As(err, &link) {
		return link.Err
	}
	return err
}
