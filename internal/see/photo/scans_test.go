package photo

import (
	"bytes"
	"errors"
	"strings"
	"testing"
)

// manyScans is a progressive JPEG's frame of 24 megapixels with so many scans of
// the bytes given (ITU-T T.81, B.2.2 and B.2.3).
func manyScans(n int, coded []byte) []byte {
	out := []byte("\xff\xd8\xff\xc2\x00\x11\x08\x0f\xa0\x17\x70\x03\x01\x22\x00\x02\x11\x00\x03\x11\x00")
	for range n {
		out = append(out, "\xff\xda\x00\x08\x01\x01\x00\x01\x3f\x00"...)
		out = append(out, coded...)
	}
	return append(out, 0xff, 0xd9)
}

func TestScansAreFew(t *testing.T) {
	coded := append(bytes.Repeat([]byte{0x55}, 100), 0xff, 0x00, 0xff, 0xd3, 0x77) // a stuffed byte, a restart
	for n, well := range map[int]bool{1: true, 10: true, maxScans: true, maxScans + 1: false, 3000: false} {
		data := manyScans(n, coded)
		kind, err := Header(bytes.NewReader(data), int64(len(data)))
		if well && (err != nil || kind != "JPEG") {
			t.Errorf("%d scans: %q, %v", n, kind, err)
		}
		if !well && (!errors.Is(err, ErrUnreadable) || !strings.Contains(err.Error(), "passes")) {
			t.Errorf("%d scans: %v", n, err)
		}
	}
	// scans in a thumbnail, or behind the end, are none of the picture's
	inside := manyScans(1, coded)
	hidden := append([]byte("\xff\xe1\xff\xff"), bytes.Repeat([]byte("\xff\xda\x00\x02"), 16383)...)
	data := append(append(append(inside[:2:2], hidden...), 0), append(inside[2:], manyScans(100, nil)...)...)
	if _, err := Header(bytes.NewReader(data), int64(len(data))); err != nil {
		t.Errorf("scans elsewhere: %v", err)
	}
}
