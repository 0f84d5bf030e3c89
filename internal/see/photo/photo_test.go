package photo

import (
	"bytes"
	"encoding/binary"
	"errors"
	"hash/crc32"
	"image"
	"image/color"
	"image/gif"
	"image/jpeg"
	"image/png"
	"strings"
	"testing"

	"netagauge/testdata/photos"
)

func sampleJPEG(t testing.TB) []byte {
	t.Helper()
	data, err := photos.Files.ReadFile("tray-a4.jpg")
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// pngHeader is a PNG that says it has the given size and holds no pixels.
func pngHeader(w, h uint32) []byte {
	body := []byte("IHDR")
	body = binary.BigEndian.AppendUint32(body, w)
	body = binary.BigEndian.AppendUint32(body, h)
	body = append(body, 8, 2, 0, 0, 0)
	out := append([]byte("\x89PNG\r\n\x1a\n"), 0, 0, 0, 13)
	out = append(out, body...)
	return binary.BigEndian.AppendUint32(out, crc32.ChecksumIEEE(body))
}

func encodePNG(t *testing.T, img image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := png.Encode(&b, img); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestBadFiles(t *testing.T) {
	var anim bytes.Buffer
	if err := gif.Encode(&anim, image.NewPaletted(image.Rect(0, 0, 400, 400), color.Palette{color.Black, color.White}), nil); err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		data []byte
		kind error
		says string
	}{
		"empty":           {nil, ErrUnreadable, "empty"},
		"text":            {[]byte("lunch: 12 slices"), ErrUnreadable, "text"},
		"noise":           {bytes.Repeat([]byte{0, 1, 2, 3}, 500), ErrUnreadable, "no JPEG, PNG or HEIC"},
		"gif":             {anim.Bytes(), ErrUnreadable, "not read here"},
		"bomb":            {pngHeader(60000, 60000), ErrTooLarge, "megapixels"},
		"zero size":       {pngHeader(0, 0), ErrUnreadable, "header is damaged"},
		"one pixel":       {encodePNG(t, image.NewGray(image.Rect(0, 0, 1, 1))), ErrUnreadable, "only 1 × 1"},
		"header only":     {pngHeader(400, 400), ErrUnreadable, "cut short"},
		"no brand":        {[]byte("\x00\x00\x00\x18ftypavif\x00\x00\x00\x00"), ErrUnreadable, "no JPEG"},
		"HEIC stub":       {[]byte("\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic"), ErrUnreadable, "HEIC"},
		"too many bytes":  {make([]byte, MaxBytes+1), ErrTooLarge, "MB"},
		"JPEG start only": {[]byte("\xff\xd8\xff\xe0"), ErrUnreadable, "JPEG"},
	} {
		p, err := Decode(c.data)
		if !errors.Is(err, c.kind) || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: error %v is not %v saying %q", name, err, c.kind, c.says)
		}
		if p != nil {
			t.Errorf("%s: a picture comes with the error", name)
		}
	}
}

// A JPEG cut anywhere is refused, never half a picture.
func TestTruncatedJPEG(t *testing.T) {
	data := sampleJPEG(t)
	for k := range 20 {
		n := len(data) * (k + 1) / 21
		if _, err := Decode(data[:n]); !errors.Is(err, ErrUnreadable) {
			t.Errorf("cut at %d of %d bytes: %v", n, len(data), err)
		}
	}
}

func TestKindsOfPicture(t *testing.T) {
	rect := image.Rect(0, 0, 400, 330)
	gray16 := image.NewGray16(rect)
	rgba64 := image.NewRGBA64(rect)
	for i := range rect.Dx() {
		gray16.SetGray16(i, 5, color.Gray16{Y: 0x8000})
		rgba64.SetRGBA64(i, 5, color.RGBA64{R: 0xffff, A: 0xffff})
	}
	var gray bytes.Buffer
	if err := jpeg.Encode(&gray, image.NewGray(rect), nil); err != nil {
		t.Fatal(err)
	}
	for name, data := range map[string][]byte{
		"16-bit gray PNG": encodePNG(t, gray16), "16-bit colour PNG": encodePNG(t, rgba64),
		"transparent PNG": encodePNG(t, image.NewNRGBA(rect)), "gray JPEG": gray.Bytes(),
	} {
		p, err := Decode(data)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if w, h := p.Size(); w != 400 || h != 330 {
			t.Errorf("%s: %d × %d px", name, w, h)
		}
	}
	p, _ := Decode(encodePNG(t, rgba64))
	if y, cr := p.YCbCr.Y[5*p.YCbCr.YStride+3], p.YCbCr.Cr[5*p.YCbCr.CStride+3]; y != 76 || cr != 255 {
		t.Errorf("pure red is Y %d Cr %d, want 76 and 255 (JFIF 1.02)", y, cr)
	}
}

func TestCMYKConverts(t *testing.T) {
	img := image.NewCMYK(image.Rect(0, 0, 2, 2))
	p := toYCbCr(img) // no ink: white
	if p.Y[0] != 255 || p.Cb[0] != 128 {
		t.Errorf("bare CMYK is Y %d Cb %d, want white", p.Y[0], p.Cb[0])
	}
}

// withOrientation puts an EXIF block with the orientation and a 35 mm focal
// length of 26 into a JPEG.
func withOrientation(data []byte, o uint16) []byte {
	t := []byte("Exif\x00\x00MM\x00\x2a\x00\x00\x00\x08\x00\x02")
	t = append(t, 0x01, 0x12, 0, 3, 0, 0, 0, 1, 0, byte(o), 0, 0)
	t = append(t, 0x87, 0x69, 0, 4, 0, 0, 0, 1, 0, 0, 0, 38, 0, 0, 0, 0)
	t = append(t, 0, 1, 0xa4, 0x05, 0, 3, 0, 0, 0, 1, 0, 26, 0, 0, 0, 0, 0, 0)
	seg := append([]byte{0xff, 0xe1, byte((len(t) + 2) >> 8), byte(len(t) + 2)}, t...)
	return append(append([]byte{0xff, 0xd8}, seg...), data[2:]...)
}

// EXIF orientations (CIPA DC-008): 5 to 8 swap the sides; 2, 4, 5, 7 mirror.
func TestOrientation(t *testing.T) {
	var b bytes.Buffer
	img := image.NewGray(image.Rect(0, 0, 400, 330))
	for y := range 330 {
		for x := range 200 {
			img.SetGray(x, y, color.Gray{Y: 255}) // the left half is white
		}
	}
	if err := jpeg.Encode(&b, img, nil); err != nil {
		t.Fatal(err)
	}
	for o := uint16(1); o <= 8; o++ {
		p, err := Decode(withOrientation(b.Bytes(), o))
		if err != nil {
			t.Fatal(err)
		}
		if p.F35 != 26 {
			t.Errorf("orientation %d: focal length %g, want 26", o, p.F35)
		}
		if w, _ := p.Size(); (w == 330) != (o >= 5) {
			t.Errorf("orientation %d: upright width %d", o, w)
		}
		mirrored := o == 2 || o == 4 || o == 5 || o == 7
		if left := p.YCbCr.Y[100] > 128; left == mirrored {
			t.Errorf("orientation %d: white is on the left: %v", o, left)
		}
	}
}

func FuzzDecode(f *testing.F) {
	f.Add([]byte("\xff\xd8\xff\xe0"))
	f.Add(pngHeader(400, 400))
	f.Add([]byte("\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic"))
	f.Add(withOrientation(sampleJPEG(f)[:4000], 6))
	f.Fuzz(func(t *testing.T, data []byte) {
		p, err := Decode(data)
		if err != nil && (p != nil || !errors.Is(err, ErrUnreadable) && !errors.Is(err, ErrTooLarge)) {
			t.Errorf("error %v is neither kind, or comes with a picture", err)
		}
	})
}

// A HEIC of 10 bits is refused by its header, with what to change on the phone; one
// of 8 bits beside a deep gain map is not.
func TestDeepHEIC(t *testing.T) {
	box := func(bits ...byte) []byte {
		out := []byte("\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic\x00\x00\x00\x14ispe\x00\x00\x00\x00\x00\x00\x10\x00\x00\x00\x0c\x00")
		for _, b := range bits {
			out = append(out, "\x00\x00\x00\x10pixi\x00\x00\x00\x00\x03"...)
			out = append(out, b, b, b)
		}
		return out
	}
	for name, c := range map[string]struct {
		data []byte
		deep bool
	}{"8": {box(8), false}, "10": {box(10), true}, "8 and 10": {box(8, 10), false}, "10 and 8": {box(10, 8), false}, "none": {box(), false}} {
		_, err := Header(bytes.NewReader(c.data), int64(len(c.data)))
		if errors.Is(err, ErrDeep) != c.deep || c.deep && !errors.Is(err, ErrUnreadable) {
			t.Errorf("%s: %v", name, err)
		}
	}
}
