package intake

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io"
	"os"
	"path/filepath"
	"syscall"

	"netagauge/internal/keep/photos"
	"netagauge/internal/see/photo"
)

// arrival is a photo that is whole in a file and not in its place yet.
type arrival struct {
	photos.Arrived
	format string // jpg, png or heic
}

// discard removes the photo unless it has been put in its place.
func (a *arrival) discard() { os.Remove(a.Path) }

// arrive streams a photo to the disk, and holds it against the limits.
func (f *Folder) arrive(r io.Reader) (_ *arrival, err error) {
	tmp, err := os.CreateTemp(filepath.Join(f.dir, TmpDir), "arriving-*")
	if err != nil {
		return nil, err
	}
	a := &arrival{Arrived: photos.Arrived{Path: tmp.Name()}}
	defer func() {
		if cerr := tmp.Close(); err == nil {
			err = cerr
		}
		if err != nil {
			a.discard()
		}
	}()
	sum := sha256.New()
	from := &sender{r: r}
	a.Bytes, err = io.Copy(io.MultiWriter(tmp, sum), io.LimitReader(from, f.Limits.Bytes+1))
	switch {
	case from.err != nil:
		return nil, ErrCutShort.For(from.err)
	case err != nil:
		return nil, err
	case a.Bytes > f.Limits.Bytes:
		return nil, ErrTooLarge
	}
	if a.format, err = formatOf(tmp, a.Bytes); err != nil {
		return nil, err
	}
	own, dropped, err := dropLocation(tmp, a.Bytes)
	if err != nil {
		return nil, err
	}
	if own < a.Bytes {
		if err := tmp.Truncate(own); err != nil {
			return nil, err
		}
		a.Bytes, dropped = own, true
	}
	if dropped {
		sum.Reset()
		if _, err := io.Copy(sum, io.NewSectionReader(tmp, 0, a.Bytes)); err != nil {
			return nil, err
		}
	}
	a.SHA256 = hex.EncodeToString(sum.Sum(nil))
	return a, nil
}

// dropLocation blanks where the photo was taken, in the file itself: many photos
// arrive at once, and none of them is held in memory. It says how much of the file is
// the photo's own.
func dropLocation(f *os.File, size int64) (own int64, dropped bool, err error) {
	data, err := syscall.Mmap(int(f.Fd()), 0, int(size), syscall.PROT_READ|syscall.PROT_WRITE, syscall.MAP_SHARED)
	if err != nil {
		return 0, false, err
	}
	own, dropped = int64(photo.WithoutTrailer(data)), photo.DropLocation(data)
	return own, dropped, syscall.Munmap(data)
}

// formatOf looks at the photo's header only.
func formatOf(r io.ReaderAt, size int64) (string, error) {
	kind, err := photo.Header(r, size)
	switch {
	case errors.Is(err, photo.ErrTooLarge):
		return "", ErrTooLarge.For(err)
	case errors.Is(err, photo.ErrDeep):
		return "", ErrDeep.For(err)
	case err != nil:
		return "", ErrNotAPhoto.For(err)
	}
	return map[string]string{"JPEG": "jpg", "PNG": "png", "HEIC": "heic"}[kind], nil
}

// sender tells what the sender did wrong from what the disk did.
type sender struct {
	r   io.Reader
	err error
}

func (s *sender) Read(p []byte) (int, error) {
	n, err := s.r.Read(p)
	if err != nil && !errors.Is(err, io.EOF) {
		s.err = err
	}
	return n, err
}
