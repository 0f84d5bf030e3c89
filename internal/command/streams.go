package command

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

// Dash names standard input or output where a file may be named.
const Dash = "-"

// Stdin is what a photo or a backup named - is read from; tests replace it.
var Stdin io.Reader = os.Stdin

// OnDisk refuses photos that are not there, before anything is measured or kept:
// a file that is there and is no photo is for the check to refuse.
func OnDisk(paths ...string) error {
	dashes := 0
	for _, p := range paths {
		if p == Dash {
			if dashes++; dashes > 1 {
				return Misuse("use-one-stdin")
			}
			continue
		}
		switch st, err := os.Stat(p); {
		case err == nil && !st.IsDir():
		case err == nil:
			return Misuse("use-folder", Quoted(p))
		case errors.Is(err, fs.ErrNotExist):
			return Misuse("use-no-file", Quoted(p))
		default:
			return MisuseOf(err)
		}
	}
	return nil
}

// Placed refuses files to be written whose folder is not there, before anything is
// measured; an empty name is none.
func Placed(paths ...string) error {
	for _, p := range paths {
		if dir := filepath.Dir(p); p != "" {
			if st, err := os.Stat(dir); err != nil || !st.IsDir() {
				return Misuse("use-no-folder", Quoted(dir))
			}
		}
	}
	return nil
}

// Folder makes a folder to write into.
func Folder(path string) error {
	if err := os.MkdirAll(path, 0o755); err != nil {
		return phrase.Because(err, "ran-no-folder")
	}
	return nil
}

// Distinct refuses a file that is named twice, by whatever path or link.
func Distinct(paths []string) error {
	var seen []os.FileInfo
	for _, p := range paths {
		st, err := os.Stat(p)
		if err != nil {
			continue // the check itself says what is wrong with it
		}
		for _, o := range seen {
			if os.SameFile(o, st) {
				return Misuse("use-twice", p)
			}
		}
		seen = append(seen, st)
	}
	return nil
}

// ReadPhoto reads a photo; - is standard input.
func ReadPhoto(path string) (record.Photo, error) {
	if path != Dash {
		data, err := photo.Read(path)
		return record.Bytes(path, data), err
	}
	data, err := photo.ReadFrom(Stdin)
	return record.Bytes("standard input", data), err
}

// ReadTray reads the photos of a tray.
func ReadTray(files class.Tray, t ticket.Ticket) (record.Tray, error) {
	tray := record.Tray{Ticket: t}
	var err error
	if tray.First, err = ReadPhoto(files.File); err != nil || files.Second == "" {
		return tray, err
	}
	if tray.Second, err = ReadPhoto(files.Second); err != nil {
		return tray, phrase.Because(err, "second-photo", Quoted(files.Second))
	}
	return tray, nil
}

// TakenAt is when a photo was taken, as far as its file tells.
func TakenAt(path string) (time.Time, error) {
	if path == Dash {
		return time.Now(), nil
	}
	info, err := os.Stat(path)
	if err != nil {
		return time.Time{}, err
	}
	return info.ModTime(), nil
}

// WriteTo writes a file whole or not at all; - is out.
func WriteTo(path string, out io.Writer, fill func(io.Writer) error) error {
	if path == Dash {
		return fill(out)
	}
	return atomicfile.WriteTo(path, fill)
}

// Written is out, or nothing where one of the files goes there: a page or a picture
// and the text for people do not go together.
func Written(out io.Writer, files ...string) (io.Writer, error) {
	dashes := 0
	for _, f := range files {
		if f == Dash {
			dashes++
		}
	}
	switch dashes {
	case 0:
		return out, nil
	case 1:
		return io.Discard, nil
	}
	return nil, Misuse("use-one-stdout")
}

// WritePicture writes a JPEG as the name of its file asks.
func WritePicture(w io.Writer, path string, data []byte) error {
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

// PictureKind refuses names of pictures in a format that is not written.
func PictureKind(path string) error {
	switch strings.ToLower(filepath.Ext(path)) {
	case "", ".jpg", ".jpeg", ".png":
		return nil
	}
	return Misuse("use-picture-kind", Quoted(filepath.Ext(path)))
}
