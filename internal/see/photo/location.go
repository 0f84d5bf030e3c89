package photo

import (
	"bytes"
	"encoding/binary"
	"iter"
)

// DropLocation blanks in place what a photo's EXIF, XMP and IPTC say of where it was
// taken, and reports whether there was anything. The file keeps its length and
// everything else: pixels, orientation, focal length. A PNG keeps its place,
// too, since a changed block would not fit its checksum; phones write none.
func DropLocation(file []byte) (dropped bool) {
	if sniff(file[:min(len(file), headBytes)]) == "PNG" {
		return false
	}
	for start, order := range byteOrders {
		for block := range starts(file, start, maxBlocks) {
			if blankGPS(block[:min(len(block), maxEXIF)], order) {
				dropped = true
			}
		}
	}
	dropped = blankProperties(file) || dropped
	return blankIPTC(file) || dropped
}

// starts are what is in a file from each place on where it has these bytes, so many
// of them at most.
func starts(file []byte, with string, most int) iter.Seq[[]byte] {
	return func(yield func([]byte) bool) {
		for range most {
			i := bytes.Index(file, []byte(with))
			if i < 0 || !yield(file[i:]) {
				return
			}
			file = file[i+len(with):]
		}
	}
}

// maxEXIF is the longest EXIF block a JPEG can hold. A phone writes two or three
// blocks; a file with more than these is made to keep a
// reader busy.
const (
	maxEXIF   = 1 << 16
	maxBlocks = 32
)

// Tag of the pointer to the GPS directory, and the bytes of each type of value
// (CIPA DC-008, 4.6.2 and 4.6.3).
const gpsPointer = 0x8825

var typeBytes = [...]int{0, 1, 1, 2, 4, 8, 1, 1, 2, 4, 8, 4, 8}

// byteOrders are the starts of a TIFF block, such as EXIF is, wherever in a file
// it lies: what comes after must be a directory that points to another of the
// place, so that coded pixels are not taken for one.
var byteOrders = map[string]binary.ByteOrder{"II*\x00": binary.LittleEndian, "MM\x00*": binary.BigEndian}

// blankGPS empties the GPS directory of an EXIF block.
func blankGPS(b []byte, order binary.ByteOrder) bool {
	if len(b) < 8 {
		return false
	}
	found := false
	_, main := directory(b, order, order.Uint32(b[4:]))
	for _, e := range main {
		if order.Uint16(e) != gpsPointer {
			continue
		}
		count, gps := directory(b, order, order.Uint32(e[8:]))
		for _, g := range gps {
			found = true
			fill(value(b, order, g), 0)
			fill(g, 0)
		}
		fill(count, 0)
	}
	return found
}

// directory finds the count and the entries, of 12 bytes each, of the directory
// at an offset; those beyond the block's end are left out.
func directory(b []byte, order binary.ByteOrder, offset uint32) (count []byte, entries [][]byte) {
	if uint64(offset)+2 > uint64(len(b)) {
		return nil, nil
	}
	count, rest := b[offset:offset+2], b[offset+2:]
	for range order.Uint16(count) {
		if len(rest) < 12 {
			break
		}
		entries, rest = append(entries, rest[:12]), rest[12:]
	}
	return count, entries
}

// value is what an entry points to; nothing for a value that is in the entry.
func value(b []byte, order binary.ByteOrder, entry []byte) []byte {
	kind, n, offset := int(order.Uint16(entry[2:])), uint64(order.Uint32(entry[4:])), uint64(order.Uint32(entry[8:]))
	if kind >= len(typeBytes) {
		return nil
	}
	n *= uint64(typeBytes[kind])
	if n <= 4 || offset > uint64(len(b)) {
		return nil
	}
	return b[offset:min(offset+n, uint64(len(b)))]
}

func fill(b []byte, with byte) {
	for i := range b {
		b[i] = with
	}
}
