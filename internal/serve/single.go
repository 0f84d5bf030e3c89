package serve

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io"
	"os"
	"syscall"

	"netagauge/internal/core/phrase"
	"netagauge/internal/judge/plan"
	"netagauge/internal/keep/intake"
	"netagauge/internal/see/printscale"
	"netagauge/internal/work/record"
)

// Single measures single photos, which are not kept, in processes of their own:
// one that brings down a decoder ends that process and nothing else.
type Single interface {
	// Block plans the cuts of the block in a photo and draws them on it.
	Block(ctx context.Context, first, second record.Photo, told plan.Photographed) (plan.Plan, []byte, error)
	// Print measures a mat's print by the coin of that name, or by a bank card.
	Print(ctx context.Context, photo record.Photo, coin string) (printscale.Verified, error)
}

// withPhotos takes a photo in, and another one of the same thing where the form has it,
// and does something with them, one form at a time: the others wait, their photos whole
// on the disk, so that a slow phone keeps nobody waiting.
func (s *Server) withPhotos(ctx context.Context, f sent, do func(first, second record.Photo) error) error {
	first, drop, err := stored(f.name, f.photo)
	defer drop()
	if err != nil {
		return err
	}
	var second record.Photo
	switch name, photo, err := f.second(); {
	case err != nil:
		return &phrase.Error{Says: phrase.Of("cut-short"), Cause: err}
	case photo != nil:
		second, drop, err = stored(name, photo)
		defer drop()
		if err != nil {
			return err
		}
	}
	select {
	case s.single <- struct{}{}:
	case <-ctx.Done():
		return ctx.Err()
	}
	defer func() { <-s.single }()
	return do(first, second)
}

// stored is a photo in a file that drop takes away.
func stored(name string, from io.Reader) (p record.Photo, drop func(), err error) {
	file, err := os.CreateTemp("", "netagauge-*")
	if err != nil {
		return p, func() {}, err
	}
	drop = func() { os.Remove(file.Name()) }
	sum := sha256.New()
	size, err := io.Copy(io.MultiWriter(file, sum), from)
	if cerr := file.Close(); err == nil {
		err = cerr
	}
	if errors.Is(err, syscall.ENOSPC) {
		return p, drop, intake.ErrFull
	}
	if err != nil {
		return p, drop, &phrase.Error{Says: phrase.Of("cut-short"), Cause: err}
	}
	return record.Photo{Name: name, Hash: hex.EncodeToString(sum.Sum(nil)), Open: func() (io.ReadCloser, int64, error) {
		r, err := os.Open(file.Name())
		return r, size, err
	}}, drop, nil
}

// photoError is what is wrong with a single photo, or with what was entered beside
// it.
type photoError struct{ error }

// singleError is what became of a photo that was not measured; what is no fault of
// the photo's stays as it is.
func singleError(err error) error {
	var entered record.EnteredError
	switch {
	case errors.As(err, &entered):
		return photoError{entered.Cause}
	case err == nil || errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded):
		return err
	}
	return photoError{err}
}
