package photo

import (
	"bufio"
	"bytes"
	"encoding/binary"
)

// WithoutTrailer is how many bytes of a photo are its own: what lies behind a JPEG's
// end, or in a HEIC's last boxes for it, is a moving photo's film, with sound and
// place of its own, and is none of ours.
func WithoutTrailer(file []byte) int {
	switch sniff(file[:min(len(file), headBytes)]) {
	case "JPEG":
		return jpegEnd(file)
	case "HEIC":
		return filmless(file)
	}
	return len(file)
}

// jpegEnd is behind the end marker of the picture; all there is when there is none.
func jpegEnd(file []byte) int {
	from := bytes.NewReader(file)
	in := bufio.NewReaderSize(from, 1<<16)
	if eachMarker(in, func(marker byte) error { return nil }) != nil {
		return len(file)
	}
	return len(file) - from.Len() - in.Buffered()
}

// films are boxes of a HEIC that hold a film: a motion photo's, and those of a film
// put behind (ISO/IEC 14496-12, 8.1 and 8.2).
var films = map[string]bool{"mpvd": true, "moov": true, "sefd": true}

// filmless is where the boxes of a film begin at the end of a HEIC.
func filmless(file []byte) int {
	end := 0
	for at := 0; at+8 <= len(file); {
		size := uint64(binary.BigEndian.Uint32(file[at:]))
		switch {
		case size == 1 && at+16 <= len(file):
			size = binary.BigEndian.Uint64(file[at+8:])
		case size == 0:
			size = uint64(len(file) - at)
		}
		if size < 8 || size > uint64(len(file)-at) {
			return len(file) // damaged: the decoder's to judge
		}
		film := films[string(file[at+4:at+8])]
		if at += int(size); !film {
			end = at
		}
	}
	return end
}
