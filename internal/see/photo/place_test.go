package photo

import (
	"bytes"
	"encoding/binary"
	"os"
	"os/exec"
	"strings"
	"testing"
)

// xmpOf is an XMP packet in a JPEG's segment (Adobe's XMP specification, part 3, 1.1.3).
func xmpOf(properties string) []byte {
	text := "http://ns.adobe.com/xap/1.0/\x00<x:xmpmeta><rdf:RDF><rdf:Description " + properties + "</rdf:Description></rdf:RDF></x:xmpmeta>"
	out := binary.BigEndian.AppendUint16([]byte("\xff\xe1"), uint16(len(text)+2))
	return append(out, text...)
}

// iptcOf is IPTC's data sets in a JPEG's segment of Photoshop's resources.
func iptcOf(name string, sets map[byte]string) []byte {
	var data []byte
	for n, v := range sets {
		data = append(data, 0x1c, 2, n)
		data = binary.BigEndian.AppendUint16(data, uint16(len(v)))
		data = append(data, v...)
	}
	text := append([]byte("Photoshop 3.0\x008BIM\x04\x04"), byte(len(name)))
	text = append(text, name...)
	if len(name)%2 == 0 {
		text = append(text, 0)
	}
	text = binary.BigEndian.AppendUint32(text, uint32(len(data)))
	text = append(text, data...)
	out := binary.BigEndian.AppendUint16([]byte("\xff\xed"), uint16(len(text)+2))
	return append(out, text...)
}

func TestPlacesOfXMPAndIPTC(t *testing.T) {
	sample := sampleJPEG(t)
	for name, segment := range map[string][]byte{
		"attributes": xmpOf(`photoshop:City="Minato-SECRET" Iptc4xmpCore:Location='SECRET pier' exif:GPSLatitude = "35,SECRET" dc:title="keep"></rdf:Description><rdf:Description>`),
		"elements":   xmpOf(`dc:title="keep"><photoshop:Country>SECRET</photoshop:Country><Iptc4xmpExt:LocationShown><rdf:Bag><rdf:li><Iptc4xmpExt:Sublocation>SECRET</Iptc4xmpExt:Sublocation><Iptc4xmpExt:LocationName><rdf:Alt><rdf:li xml:lang="x-default">SECRET market</rdf:li></rdf:Alt></Iptc4xmpExt:LocationName></rdf:li></rdf:Bag></Iptc4xmpExt:LocationShown>`),
		"IPTC":       iptcOf("", map[byte]string{90: "SECRET", 92: "SECRET pier", 95: "SECRET", 100: "SEC", 101: "SECRET", 105: "keep"}),
		"named IPTC": iptcOf("odd", map[byte]string{27: "SECRET", 105: "keep"}),
	} {
		data := append(append(bytes.Clone(sample[:2]), segment...), sample[2:]...)
		if !DropLocation(data) {
			t.Errorf("%s: nothing was dropped", name)
		}
		if bytes.Contains(data, []byte("SECRET")) || !bytes.Contains(data, []byte("keep")) {
			t.Errorf("%s: it holds %q", name, data[:400])
		}
		if len(data) != len(sample)+len(segment) || !bytes.HasSuffix(data, sample[2:]) {
			t.Errorf("%s: more than the segment was changed", name)
		}
		if _, err := Decode(data); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		if DropLocation(data) {
			t.Errorf("%s: dropped twice", name)
		}
	}
	if DropLocation(bytes.Clone(sample)) {
		t.Error("a photo without a place lost something")
	}
}

// ExifTool, where it is installed, finds no place either.
func TestPlacesByExifTool(t *testing.T) {
	if _, err := exec.LookPath("exiftool"); err != nil {
		t.Skip("exiftool is not installed")
	}
	path := t.TempDir() + "/a.jpg"
	if err := os.WriteFile(path, sampleJPEG(t), 0o600); err != nil {
		t.Fatal(err)
	}
	if out, err := exec.Command("exiftool", "-q", "-IPTC:City=SECRET", "-IPTC:Sub-location=SECRET", "-XMP-photoshop:City=SECRET", "-XMP-iptcCore:Location=SECRET",
		"-XMP-iptcExt:LocationShownCity=SECRET", "-XMP-iptcExt:LocationCreatedLocationName=SECRET", "-GPSAreaInformation=SECRET", "-XMP-exif:GPSAreaInformation=SECRET", path).CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if n := bytes.Count(data, []byte("SECRET")); n < 6 {
		t.Fatalf("%d places were written", n)
	}
	DropLocation(data)
	if err := os.WriteFile(path, data, 0o600); err != nil {
		t.Fatal(err)
	}
	said, err := exec.Command("exiftool", "-a", "-G1", path).CombinedOutput()
	if err != nil || strings.Contains(string(said), "SECRET") {
		t.Errorf("%v\n%s", err, said)
	}
}

// What lies behind a photo is cut off, whatever it is.
func TestWithoutTrailer(t *testing.T) {
	jpg := sampleJPEG(t)
	heic, err := os.ReadFile("../../../testdata/photos/tray-a4.heic")
	if err != nil {
		t.Fatal(err)
	}
	film := []byte("\x00\x00\x00\x18ftypmp42 place SECRET\xff\xd9\xff\xd8")
	box := append(binary.BigEndian.AppendUint32(nil, uint32(len(film)+8)), append([]byte("mpvd"), film...)...)
	for name, c := range map[string]struct {
		data []byte
		want int
	}{
		"JPEG": {jpg, len(jpg)}, "JPEG with a film": {append(bytes.Clone(jpg), film...), len(jpg)}, "cut JPEG": {jpg[:len(jpg)/2], len(jpg) / 2},
		"HEIC": {heic, len(heic)}, "HEIC with a film": {append(bytes.Clone(heic), box...), len(heic)}, "cut HEIC": {heic[:len(heic)/2], len(heic) / 2},
	} {
		if got := WithoutTrailer(c.data); got != c.want {
			t.Errorf("%s: %d of %d bytes are its own, want %d", name, got, len(c.data), c.want)
		}
	}
}
