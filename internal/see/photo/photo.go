// Package photo turns the bytes of a photo into a bounded picture: it decides
// by content what the file is, checks the size in the header before any pixel
// is decoded, honours the EXIF orientation and reads the 35 mm focal length.
// Pixels only; it knows nothing of the mat. JPEG is decoded by libjpeg-turbo, in
// half the time; where that finds a flaw or an unusual kind, Go's own decoder has
// the last word, as on PNG; HEIC is decoded by package heif.
package photo

import (
	"bytes"
	"errors"
	"fmt"
	"image"
	_ "image/jpeg" // registers the decoder
	_ "image/png"  // registers the decoder
	"io"
	"os"
	"time"

	"netagauge/internal/core/phrase"
	"netagauge/internal/see/heif"
	"netagauge/internal/see/jpeg"
)

// Limits on what is decoded. The pixel limit covers the 48 to 50 megapixel
// modes of current phones; the byte limit a lossless picture of that size.
const (
	MaxBytes  = 64 << 20
	MaxPixels = 52_000_000
	MaxSide   = 16_000
	MinSide   = 320
)

// ErrTooLarge marks a picture over the limits, ErrUnreadable anything that is
// not a whole picture of a known kind. Both come wrapped with the facts, as a
// phrase.Error. ErrDeep is an ErrUnreadable that the phone's settings mend.
var (
	ErrTooLarge   = errors.New("picture too large")
	ErrUnreadable = errors.New("not a readable picture")
	ErrDeep       = unreadable(phrase.Of("photo-deep"), nil)
)

// unreadable says why a file cannot be read as a picture; cause may be nil.
func unreadable(why phrase.Text, cause error) error {
	return &phrase.Error{Says: phrase.Of("photo-unreadable").And(why), Cause: because(ErrUnreadable, cause)}
}

func tooLarge(why phrase.Text) error {
	return &phrase.Error{Says: phrase.Of("photo-too-large").And(why), Cause: ErrTooLarge}
}

func because(kind, cause error) error {
	if cause == nil {
		return kind
	}
	return fmt.Errorf("%w: %w", kind, cause)
}

// Picture is a decoded photo. YCbCr holds the pixels as stored, un-mirrored.
type Picture struct {
	YCbCr    *image.YCbCr
	F35      float64   // 35 mm equivalent focal length in mm, 0 when not recorded
	Quarters int       // turns clockwise that make it upright
	Phone    string    // maker and model of the camera; empty when not recorded
	Taken    time.Time // by the camera's clock; zero when not recorded
}

// Size returns width and height of the upright photo in pixels.
func (p *Picture) Size() (w, h int) {
	w, h = p.YCbCr.Rect.Dx(), p.YCbCr.Rect.Dy()
	if p.Quarters%2 == 1 {
		return h, w
	}
	return w, h
}

// Luma returns the brightness plane; it shares the picture's memory.
func (p *Picture) Luma() *image.Gray {
	return &image.Gray{Pix: p.YCbCr.Y, Stride: p.YCbCr.YStride, Rect: p.YCbCr.Rect}
}

// Read reads a photo file, no more than MaxBytes of it.
func Read(path string) ([]byte, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrUnreadable, err)
	}
	defer f.Close()
	st, err := f.Stat()
	if err == nil && st.IsDir() {
		return nil, unreadable(phrase.Of("photo-folder"), nil)
	}
	var room int64
	if err == nil {
		room = st.Size()
	}
	return readInto(f, room)
}

// ReadFrom reads a photo from a stream, no more than MaxBytes of it.
func ReadFrom(r io.Reader) ([]byte, error) { return readInto(r, 0) }

// readInto reads into room for about so many bytes, which need not be moved then.
func readInto(r io.Reader, room int64) ([]byte, error) {
	var data bytes.Buffer
	data.Grow(int(min(max(room, 0), MaxBytes)) + bytes.MinRead)
	if _, err := data.ReadFrom(io.LimitReader(r, MaxBytes+1)); err != nil {
		return nil, fmt.Errorf("%w: %w", ErrUnreadable, err)
	}
	return data.Bytes(), nil
}

// Decode turns the bytes of a JPEG, PNG or HEIC file into a picture. The
// decoder is picked by the content, never by a name.
func Decode(data []byte) (*Picture, error) {
	kind, err := Header(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return nil, err
	}
	img, err := decode(data, kind)
	if errors.Is(err, heif.ErrNoLibrary) {
		return nil, unreadable(heif.ErrNoLibrary.Says, err)
	}
	if err != nil {
		return nil, unreadable(phrase.Named("photo-damaged", kind), err)
	}
	meta := readMeta(data, kind)
	return upright(img, meta), nil
}

func decode(data []byte, kind string) (img image.Image, err error) {
	defer guard(&err)
	if kind == "HEIC" {
		return heif.Decode(data)
	}
	if kind == "JPEG" {
		if cfg, err := config(bytes.NewReader(data), nil, kind); err == nil {
			if img, err := jpeg.Decode(data, cfg.Width, cfg.Height); err == nil {
				return img, nil
			}
		}
	}
	img, _, err = image.Decode(bytes.NewReader(data))
	return img, err
}

// guard turns a panic inside a third-party decoder into an error: the file is
// a stranger's.
func guard(err *error) {
	if r := recover(); r != nil {
		*err = fmt.Errorf("decoder gave up: %v", r)
	}
}
