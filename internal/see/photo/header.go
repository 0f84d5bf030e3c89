package photo

import (
	"bufio"
	"errors"
	"fmt"
	"image"
	"io"

	"netagauge/internal/core/phrase"
)

// headBytes is what of a file is looked at to tell its kind; a HEIC file has
// its size in it too.
const headBytes = 1 << 18

// Header tells what kind of picture a file is (JPEG, PNG or HEIC) and holds the
// size in its header against the limits, without decoding a pixel. Of a PNG or HEIC it
// reads no further than the header. The file may still be damaged.
func Header(r io.ReaderAt, size int64) (kind string, err error) {
	if size > MaxBytes {
		return "", tooLarge(phrase.Of("photo-bytes", MaxBytes>>20))
	}
	head := make([]byte, min(size, headBytes))
	if _, err := io.ReadFull(io.NewSectionReader(r, 0, size), head); err != nil {
		return "", fmt.Errorf("%w: %w", ErrUnreadable, err)
	}
	if kind = sniff(head); kind == "" {
		return "", unreadable(describe(head, size), nil)
	}
	if kind == "JPEG" {
		switch err := fewScans(io.NewSectionReader(r, 0, size)); {
		case errors.Is(err, errManyScans):
			return "", unreadable(phrase.Of("photo-scans", maxScans), err)
		case err != nil:
			return "", fmt.Errorf("%w: %w", ErrUnreadable, err)
		}
	}
	cfg, err := config(io.NewSectionReader(r, 0, size), head, kind)
	if errors.Is(err, ErrDeep) {
		return "", err
	}
	if err != nil {
		return "", unreadable(phrase.Named("photo-header", kind), err)
	}
	switch {
	case cfg.Width > MaxSide || cfg.Height > MaxSide || cfg.Width*cfg.Height > MaxPixels:
		return "", tooLarge(phrase.Of("photo-pixels", float64(cfg.Width), float64(cfg.Height), MaxPixels/1_000_000))
	case cfg.Width < MinSide || cfg.Height < MinSide:
		return "", unreadable(phrase.Of("photo-small", float64(cfg.Width), float64(cfg.Height)), nil)
	}
	return kind, nil
}

func config(r io.Reader, head []byte, kind string) (cfg image.Config, err error) {
	defer guard(&err)
	if kind == "HEIC" {
		return heicConfig(head)
	}
	cfg, _, err = image.DecodeConfig(bufio.NewReader(r))
	return cfg, err
}
