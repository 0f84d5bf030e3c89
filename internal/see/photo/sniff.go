package photo

import (
	"bytes"
	"encoding/binary"
	"errors"
	"image"
	"unicode/utf8"

	"netagauge/internal/core/phrase"
)

// sniff names the kind of file by its first bytes, or returns "" for one that
// this program does not read.
func sniff(data []byte) string {
	switch {
	case bytes.HasPrefix(data, []byte("\xff\xd8\xff")):
		return "JPEG"
	case bytes.HasPrefix(data, []byte("\x89PNG\r\n\x1a\n")):
		if bytes.Contains(data[:min(len(data), 256)], []byte("acTL")) {
			return "" // animated
		}
		return "PNG"
	case len(data) >= 12 && string(data[4:8]) == "ftyp" && heicBrand(string(data[8:12])):
		return "HEIC"
	}
	return ""
}

func heicBrand(b string) bool {
	switch b {
	case "heic", "heix", "heim", "heis", "mif1":
		return true
	}
	return false
}

// describe says what a file of so many bytes that cannot be read looks like.
func describe(data []byte, size int64) phrase.Text {
	head := data[:min(len(data), 512)]
	switch {
	case len(data) == 0:
		return phrase.Of("photo-empty")
	case bytes.HasPrefix(data, []byte("\x89PNG")):
		return phrase.Of("photo-png")
	case bytes.HasPrefix(data, []byte("GIF8")), bytes.HasPrefix(data, []byte("RIFF")):
		return phrase.Of("photo-animation")
	case utf8.Valid(head) && !bytes.ContainsRune(head, 0):
		return phrase.Of("photo-text")
	}
	return phrase.Of("photo-other", float64(size))
}

// heicConfig reads the picture's size from its image spatial extents boxes
// (ISO/IEC 23008-12, "ispe"): the largest is the whole picture, smaller ones
// its tiles and thumbnail. The decoder's own reader of headers refuses files
// that it decodes well.
func heicConfig(data []byte) (image.Config, error) {
	var cfg image.Config
	head := data[:min(len(data), 1<<18)]
	for {
		i := bytes.Index(head, []byte("ispe"))
		if i < 0 || len(head) < i+16 {
			break
		}
		w, h := binary.BigEndian.Uint32(head[i+8:]), binary.BigEndian.Uint32(head[i+12:])
		if w > 1<<20 || h > 1<<20 {
			return cfg, errors.New("impossible size")
		}
		if int(w)*int(h) > cfg.Width*cfg.Height {
			cfg.Width, cfg.Height = int(w), int(h)
		}
		head = head[i+16:]
	}
	switch {
	case cfg.Width == 0:
		return cfg, errors.New("no size")
	case deep(data):
		return cfg, ErrDeep
	}
	return cfg, nil
}

// deep reports whether every picture in a HEIC has more than 8 bits a colour, by its
// pixel information boxes (ISO/IEC 23008-12, "pixi": version and flags, channels,
// the bits of each). Phones put a deep gain map beside a picture of 8 bits.
func deep(data []byte) bool {
	head, found := data[:min(len(data), 1<<18)], false
	for {
		i := bytes.Index(head, []byte("pixi"))
		if i < 0 || len(head) < i+10 {
			return found
		}
		if head[i+8] > 0 && head[i+9] <= 8 {
			return false
		}
		found, head = true, head[i+10:]
	}
}
