package photo

import (
	"bytes"
	"encoding/binary"
	"strings"
	"testing"
	"time"

	"github.com/bep/imagemeta"
)

// withPlace puts an EXIF block with an orientation, a focal length and a place
// into a JPEG: 35° 39' 30" north, 139° 45' 0" east, invented.
func withPlace(data []byte, order binary.AppendByteOrder) []byte {
	var b []byte
	u16 := func(v ...uint16) {
		for _, x := range v {
			b = order.AppendUint16(b, x)
		}
	}
	entry := func(tag, kind uint16, n, v uint32) {
		u16(tag, kind)
		b = order.AppendUint32(order.AppendUint32(b, n), v)
	}
	short := func(v uint16) uint32 { // a short lies at the start of the entry's value
		return order.(binary.ByteOrder).Uint32(order.AppendUint16(order.AppendUint16(nil, v), 0))
	}
	letter := func(s string) uint32 { return order.(binary.ByteOrder).Uint32([]byte(s + "\x00\x00\x00")[:4]) }
	b = append(b, map[bool]string{true: "MM", false: "II"}[order == binary.AppendByteOrder(binary.BigEndian)]...)
	u16(42)
	b = order.AppendUint32(b, 8)
	u16(3)
	entry(0x0112, 3, 1, short(6)) // orientation
	entry(0x8769, 4, 1, 50)       // the EXIF directory, after 2 + 3*12 + 4 bytes
	entry(0x8825, 4, 1, 68)       // the GPS directory
	b = order.AppendUint32(b, 0)
	u16(1)
	entry(0xa405, 3, 1, short(26)) // focal length
	b = order.AppendUint32(b, 0)
	u16(4)
	entry(1, 2, 2, letter("N"))
	entry(2, 5, 3, 122)
	entry(3, 2, 2, letter("E"))
	entry(4, 5, 3, 146)
	b = order.AppendUint32(b, 0)
	for _, v := range []uint32{35, 1, 39, 1, 30, 1, 139, 1, 45, 1, 0, 1} {
		b = order.AppendUint32(b, v)
	}
	b = append([]byte("Exif\x00\x00"), b...)
	xmp := []byte("http://ns.adobe.com/xap/1.0/\x00" + `<rdf:Description exif:GPSLatitude="35,39.5N" tiff:Make="Example"><exif:GPSLongitude>139,45E</exif:GPSLongitude></rdf:Description>`)
	out := []byte{0xff, 0xd8}
	for _, s := range [][]byte{b, xmp} {
		out = append(binary.BigEndian.AppendUint16(append(out, 0xff, 0xe1), uint16(len(s)+2)), s...)
	}
	return append(out, data[2:]...)
}

// place is what another reader of EXIF finds.
func place(t *testing.T, data []byte) (lat, long float64) {
	t.Helper()
	var tags imagemeta.Tags
	_, err := imagemeta.Decode(imagemeta.Options{
		R: bytes.NewReader(data), ImageFormat: imagemeta.JPEG, Sources: imagemeta.EXIF,
		HandleTag: func(i imagemeta.TagInfo) error { tags.Add(i); return nil },
	})
	if err != nil {
		t.Fatal(err)
	}
	lat, long, err = tags.GetLatLong()
	if err != nil {
		t.Fatal(err)
	}
	return lat, long
}

func TestDropLocation(t *testing.T) {
	for name, order := range map[string]binary.AppendByteOrder{"big-endian": binary.BigEndian, "little-endian": binary.LittleEndian} {
		data := withPlace(sampleJPEG(t), order)
		if lat, long := place(t, data); lat < 35.65 || lat > 35.66 || long != 139.75 {
			t.Fatalf("%s: the test's own photo is at %g, %g", name, lat, long)
		}
		before, err := Decode(data)
		if err != nil {
			t.Fatal(err)
		}
		n := len(data)
		if !DropLocation(data) || len(data) != n {
			t.Errorf("%s: nothing was dropped, or the length changed", name)
		}
		if lat, long := place(t, data); lat != 0 || long != 0 {
			t.Errorf("%s: the photo still says %g, %g", name, lat, long)
		}
		for _, word := range []string{"35,39", "139,45"} {
			if bytes.Contains(data, []byte(word)) {
				t.Errorf("%s: the photo still has %q", name, word)
			}
		}
		after, err := Decode(data)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if after.F35 != 26 || after.Quarters != before.Quarters || after.Quarters%2 != 1 || !bytes.Equal(after.YCbCr.Y, before.YCbCr.Y) || !strings.Contains(string(data[:2000]), `Make="Example"`) {
			t.Errorf("%s: more than the place is gone", name)
		}
		if DropLocation(data) {
			t.Errorf("%s: there is something to drop again", name)
		}
	}
	plain := sampleJPEG(t)
	if DropLocation(bytes.Clone(plain)) {
		t.Error("a place is dropped from a photo that has none")
	}
}

// A file made to keep the reader busy does not.
func TestDropLocationIsQuick(t *testing.T) {
	for _, part := range []string{"II*\x00\x00\x00\x00\x00", "MM\x00*\x00\x00\x00\x08\xff\xff", `exif:GPSA="`, "exif:GPSA>" + strings.Repeat("x", 199), "exif:GPS"} {
		file := bytes.Repeat([]byte(part), MaxBytes/len(part))
		start := time.Now()
		DropLocation(file)
		if took := time.Since(start); took > 10*time.Second {
			t.Errorf("%d MB of %.20q take %v", MaxBytes>>20, part, took)
		} else {
			t.Logf("%.20q: %v", part, took)
		}
	}
}

// Whatever a file holds, its length stays and a second pass finds nothing.
func FuzzDropLocation(f *testing.F) {
	sound := sampleJPEG(f)[:3000]
	f.Add(withPlace(sound, binary.BigEndian)[:400])
	f.Add(withPlace(sound, binary.LittleEndian)[:400])
	f.Add([]byte("Exif\x00\x00II*\x00\xff\xff\xff\xff"))
	f.Add([]byte(`exif:GPSLatitude="1" exif:GPSLatitude>2<`))
	f.Fuzz(func(t *testing.T, data []byte) {
		DropLocation(data)
		if DropLocation(data) && !bytes.Contains(data, []byte("Exif")) {
			t.Errorf("%q has something to drop again", data)
		}
	})
}
