package photo

import (
	"encoding/binary"
	"strings"
	"testing"
)

// withPhone puts an EXIF block with the given maker, model and time (TIFF 6.0 tags
// 271, 272; Exif 2.3 tag 36867) into a JPEG.
func withPhone(data []byte, maker, model, taken string) []byte {
	order := binary.BigEndian
	head := []byte("MM\x00\x2a\x00\x00\x00\x08")
	// IFD0 of 3 entries ends at 8 + 2 + 36 + 4 = 50, the Exif IFD of one at 68.
	texts := []byte{}
	text := func(b []byte, tag uint16, s string) []byte {
		s += "\x00"
		for len(s) < 5 {
			s += "\x00"
		}
		b = order.AppendUint16(b, tag)
		b = order.AppendUint16(b, 2)
		b = order.AppendUint32(b, uint32(len(s)))
		b = order.AppendUint32(b, uint32(68+len(texts)))
		texts = append(texts, s...)
		return b
	}
	b := order.AppendUint16(head, 3)
	b = text(b, 0x010f, maker)
	b = text(b, 0x0110, model)
	b = order.AppendUint16(b, 0x8769)
	b = order.AppendUint16(b, 4)
	b = order.AppendUint32(b, 1)
	b = order.AppendUint32(b, 50)
	b = order.AppendUint32(b, 0)
	b = order.AppendUint16(b, 1)
	b = text(b, 0x9003, taken)
	b = order.AppendUint32(b, 0)
	b = append([]byte("Exif\x00\x00"), append(b, texts...)...)
	seg := append([]byte{0xff, 0xe1, byte((len(b) + 2) >> 8), byte(len(b) + 2)}, b...)
	return append(append([]byte{0xff, 0xd8}, seg...), data[2:]...)
}

// What the camera wrote of itself is told, a maker once, junk not at all.
func TestPhone(t *testing.T) {
	for _, c := range []struct{ maker, model, taken, phone, day string }{
		{"Example", "Eight Pro", "2026:11:26 09:30:00", "Example Eight Pro", "2026-11-26"},
		{"EXAMPLE", "Example 8", "yesterday", "Example 8", "0001-01-01"},
		{"Exam  ple", strings.Repeat("x", 300), "", "Exam ple " + strings.Repeat("x", longestWord), "0001-01-01"},
	} {
		p, err := Decode(withPhone(sampleJPEG(t), c.maker, c.model, c.taken))
		if err != nil {
			t.Fatal(err)
		}
		if p.Phone != c.phone || p.Taken.Format("2006-01-02") != c.day {
			t.Errorf("%q %q %q reads as %q on %v", c.maker, c.model, c.taken, p.Phone, p.Taken)
		}
	}
}
