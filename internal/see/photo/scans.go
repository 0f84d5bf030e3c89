package photo

import (
	"bufio"
	"errors"
	"io"
)

// maxScans is how many passes over its pixels a JPEG may have. Phones write one,
// the usual progressive files ten. A decoder takes each over the whole picture, so
// a small file of thousands keeps it busy for minutes.
const maxScans = 64

// Markers of JPEG (ITU-T T.81, B.1.1.3).
const (
	markerRST0, markerRST7 = 0xd0, 0xd7
	markerSOI, markerEOI   = 0xd8, 0xd9
	markerSOS              = 0xda
	markerTEM              = 0x01
)

var errManyScans = errors.New("too many scans")

// fewScans counts the scans of a JPEG by its markers; a file that ends early, or
// goes on after its end, is the decoder's to judge.
func fewScans(r io.Reader) error {
	scans := 0
	err := eachMarker(bufio.NewReaderSize(r, 1<<16), func(marker byte) error {
		if marker != markerSOS {
			return nil
		}
		if scans++; scans > maxScans {
			return errManyScans
		}
		return nil
	})
	if errors.Is(err, io.EOF) {
		return nil
	}
	return err
}

// eachMarker goes through a JPEG's markers to that of its end; io.EOF says that there
// is none.
func eachMarker(in *bufio.Reader, do func(marker byte) error) error {
	for {
		marker, err := nextMarker(in)
		if err != nil || marker == markerEOI {
			return err
		}
		if err := do(marker); err != nil {
			return err
		}
		if marker == markerSOI || marker == markerTEM || marker >= markerRST0 && marker <= markerRST7 {
			continue // which stand alone
		}
		var size [2]byte
		if _, err := io.ReadFull(in, size[:]); err != nil {
			return io.EOF
		}
		if n := int(size[0])<<8 | int(size[1]); n > 2 {
			if _, err := in.Discard(n - 2); err != nil {
				return io.EOF
			}
		}
	}
}

// nextMarker finds the next marker, past coded pixels, in which a byte of FF is
// followed by 00.
func nextMarker(in *bufio.Reader) (byte, error) {
	for {
		if _, err := in.ReadSlice(0xff); err != nil {
			if errors.Is(err, bufio.ErrBufferFull) {
				continue
			}
			return 0, err
		}
		b, err := in.ReadByte()
		for err == nil && b == 0xff { // filling
			b, err = in.ReadByte()
		}
		if err != nil || b != 0 {
			return b, err
		}
	}
}
