package main

import (
	"bytes"
	"errors"
	"image/jpeg"
	"image/png"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"netagauge/internal/core/atomicfile"
	"netagauge/internal/core/phrase"
	"netagauge/internal/judge/ticket"
	"netagauge/internal/see/photo"
	"netagauge/internal/work/class"
	"netagauge/internal/work/record"
)

// dash names standard input or output where a file may be named.
const dash = "-"

// stdin is what a photo or a backup named - is read from; tests replace it.
var stdin io.Reader = os.Stdin

// onDisk refuses photos that are not there, before anything is measured or kept:
// a file that is there and is no photo is for the check to refuse.
func onDisk(paths ...string) error {
	dashes := 0
	for _, p := range paths {
		if p == dash {
			if dashes++; dashes > 1 {
				return misuse("use-one-stdin")
			}
			continue
		}
		switch st, err := os.Stat(p); {
		case err == nil && !st.IsDir():
		case err == nil:
			return misuse("use-folder", quoted(p))
		case errors.Is(err, fs.ErrNotExist):
			return misuse("use-no-file", quoted(p))
		default:
			return usageError{err}
		}
	}
	return nil
}

// readPhoto reads a photo; - is standard input.
func readPhoto(path string) (record.Photo, error) {
	if path != dash {
		data, err := photo.Read(path)
		return record.Bytes(path, data), err
	}
	data, err := photo.ReadFrom(stdin)
	return record.Bytes("standard input", data), err
}

// readTray reads the photos of a tray.
func readTray(files class.Tray, t ticket.Ticket) (record.Tray, error) {
	tray := record.Tray{Ticket: t}
	var err error
	if tray.First, err = readPhoto(files.File); err != nil || files.Second == "" {
		return tray, err
	}
	if tray.Second, err = readPhoto(files.Second); err != nil {
		return tray, phrase.Because(err, "second-photo", quoted(files.Second))
	}
	return tray, nil
}

// takenAt is when a photo was taken, as far as its file tells.
func takenAt(path string) (time.Time, error) {
	if path == dash {
		return time.Now(), nil
	}
	info, err := os.Stat(path)
	if err != nil {
		return time.Time{}, err
	}
	return info.ModTime(), nil
}

// writeTo writes a file whole or not at all; - is out.
func writeTo(path string, out io.Writer, fill func(io.Writer) error) error {
	if path == dash {
		return fill(out)
	}
	return atomicfile.WriteTo(path, fill)
}

// written is out, or nothing where one of the files goes there: a page or a picture
// and the text for people do not go together.
func written(out io.Writer, files ...string) (io.Writer, error) {
	dashes := 0
	for _, f := range files {
		if f == dash {
			dashes++
		}
	}
	switch dashes {
	case 0:
		return out, nil
	case 1:
		return io.Discard, nil
	}
	return nil, misuse("use-one-stdout")
}

// writePicture writes a JPEG as the name of its file asks.
func writePicture(w io.Writer, path string, data []byte) error {
	if !isPNG(path) {
		_, err := w.Write(data)
		return err
	}
	img, err := jpeg.Decode(bytes.NewReader(data))
	if err != nil {
		return err
	}
	return png.Encode(w, img)
}

// isPNG reports whether a picture's file is named as PNG.
func isPNG(path string) bool { return strings.EqualFold(filepath.Ext(path), ".png") }

// pictureKind refuses names of pictures in a format that is not written.
func pictureKind(path string) error {
	switch strings.ToLower(filepath.Ext(path)) {
	case "", ".jpg", ".jpeg", ".png":
		return nil
	}
	return misuse("use-picture-kind", quoted(filepath.Ext(path)))
}
