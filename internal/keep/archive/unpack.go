package archive

import (
	"archive/tar"
	"compress/gzip"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"io"
	"netagauge/internal/core/phrase"
	"os"
	"path"
	"path/filepath"
	"slices"
)

// ErrNone says that a file is no whole archive.
var ErrNone = phrase.Wrong("backup-none")

// Unpack fills the folder work with files of the names that are allowed, and holds them
// against the manifest. It writes nowhere else.
func Unpack(ctx context.Context, r io.Reader, work string, allowed func(name string) bool) (m Manifest, err error) {
	root, err := os.OpenRoot(work) // through which nothing outside can be reached
	if err != nil {
		return m, err
	}
	defer root.Close()
	packed := &counted{r: r}
	zip, err := gzip.NewReader(packed)
	if err != nil {
		return m, NotWhole(err)
	}
	var files []Listed
	for in := tar.NewReader(&bounded{r: zip, packed: packed}); ; {
		h, err := in.Next()
		if errors.Is(err, io.EOF) {
			break
		}
		if err == nil {
			err = ctx.Err()
		}
		if err != nil {
			return m, NotWhole(err)
		}
		if h.Typeflag != tar.TypeReg || h.Name != manifestFile && !allowed(h.Name) {
			return m, ErrNone.Since(phrase.Wrong("backup-other", h.Name))
		}
		l, err := put(root, h.Name, in)
		if err != nil {
			return m, phrase.At(h.Name, NotWhole(err))
		}
		files = append(files, l)
	}
	if _, err := io.Copy(io.Discard, io.LimitReader(zip, 1<<20)); err != nil { // its checksum is at the end
		return m, NotWhole(err)
	}
	return check(work, files)
}

// NotWhole marks what reading a backup says; what writing says stays.
func NotWhole(err error) error {
	var disk *os.PathError
	if errors.As(err, &disk) || errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded) {
		return err
	}
	return ErrNone.Since(err)
}

// An archive may unpack to this much and so many times what was read of it: photos
// do not pack, and databases by a factor of ten or so. Our setting.
const (
	UnpackedFree  = 64 << 20
	unpackedTimes = 50
)

// counted counts the bytes read.
type counted struct {
	r io.Reader
	n int64
}

func (c *counted) Read(p []byte) (int, error) {
	n, err := c.r.Read(p)
	c.n += int64(n)
	return n, err
}

// bounded ends a file that unpacks to far more than a backup does.
type bounded struct {
	r      io.Reader
	packed *counted
	n      int64
}

func (b *bounded) Read(p []byte) (int, error) {
	if b.n > UnpackedFree+unpackedTimes*b.packed.n {
		return 0, phrase.Wrong("backup-unpacks", b.packed.n>>20, b.n>>20)
	}
	n, err := b.r.Read(p)
	b.n += int64(n)
	return n, err
}

// put writes one file, which must be new.
func put(root *os.Root, name string, r io.Reader) (l Listed, err error) {
	if err := root.MkdirAll(path.Dir(name), 0o700); err != nil {
		return l, err
	}
	f, err := root.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return l, err
	}
	defer f.Close()
	sum := sha256.New()
	n, err := io.Copy(io.MultiWriter(f, sum), r)
	if err != nil {
		return l, err
	}
	return Listed{name, n, hex.EncodeToString(sum.Sum(nil))}, errors.Join(f.Sync(), f.Close())
}

// check holds the files against the manifest, the last one, and takes that away.
func check(work string, files []Listed) (m Manifest, err error) {
	if len(files) == 0 || files[len(files)-1].Name != manifestFile {
		return m, ErrNone.Since(phrase.Wrong("backup-short"))
	}
	text, err := os.ReadFile(filepath.Join(work, manifestFile))
	if err != nil {
		return m, err
	}
	switch err := json.Unmarshal(text, &m); {
	case err != nil:
		return m, NotWhole(err)
	case m.Format != format:
		return m, ErrNone.Since(phrase.Wrong("backup-newer"))
	case !slices.Equal(m.Files, files[:len(files)-1]):
		return m, ErrNone.Since(phrase.Wrong("backup-changed"))
	}
	return m, os.Remove(filepath.Join(work, manifestFile))
}
