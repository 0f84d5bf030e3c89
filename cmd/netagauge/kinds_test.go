package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"image"
	"image/draw"
	"image/jpeg"
	"image/png"
	"math"
	"os"
	"testing"

	"github.com/disintegration/imaging"

	"netagauge/internal/command"
	"netagauge/internal/core/fatal"
	"netagauge/internal/core/piece"
	"netagauge/testdata/photos"
)

// checked returns the report on a photo with every slice 4 mm thick.
func checked(t *testing.T, path string) (int, piece.Tray) {
	t.Helper()
	code, out, errs := netagauge("check", "--json", "--thickness", "4", path)
	var r piece.Tray
	if err := json.Unmarshal([]byte(out), &r); err != nil {
		t.Fatalf("exit code %d, no report: %v; %s", code, err, errs)
	}
	return code, r
}

// sameMeasures holds one report's pieces to another's, within mm of length and
// width, and their areas to the share that this makes of the width. The weight
// goes with the face, whose other edge, where the wall begins, is seen by itself:
// it has that share twice. Of a slice whose walls the light leaves nearly even odds
// between upright and leaning, a trifle can tip the choice; its interval says so,
// and the measures may differ by half of it. At most one slice in five may be such.
func sameMeasures(t *testing.T, got, want piece.Tray, mm float64) {
	t.Helper()
	a, b := got.MeasuredPieces(), want.MeasuredPieces()
	if len(a) != len(b) || len(b) == 0 {
		t.Fatalf("%d pieces measured, want %d; problems %+v", len(a), len(b), got.Problems)
	}
	tipped := map[int]bool{}
	for i, p := range a {
		q := b[i]
		share := mm / q.Width.X
		for what, v := range map[string]struct {
			got, want piece.Value
			within    float64
		}{
			"length": {p.Length, q.Length, mm}, "width": {p.Width, q.Width, mm},
			"area": {p.Area, q.Area, share * q.Area.X}, "weight": {p.Weight, q.Weight, 2*share*q.Weight.X + 0.051}, // written to 0.1 g
		} {
			off := math.Abs(v.got.X - v.want.X)
			tipped[i] = tipped[i] || off > v.within
			if !(off <= math.Max(v.within, v.want.U/2)) {
				t.Errorf("piece %d: %s is %g, want %g ± %.2g, U %.2g", p.Number, what, v.got.X, v.want.X, v.within, v.want.U)
			}
		}
	}
	var n int
	for _, t := range tipped {
		if t {
			n++
		}
	}
	if 5*n > len(b) {
		t.Errorf("%d of %d slices measure differently", n, len(b))
	}
}

// storedAs is the upright picture as a camera stores it that records this EXIF
// orientation (CIPA DC-008, 4.6.5): the inverse of what a viewer does.
func storedAs(img image.Image, orientation int) image.Image {
	switch orientation {
	case 2:
		return imaging.FlipH(img)
	case 3:
		return imaging.Rotate180(img)
	case 4:
		return imaging.FlipV(img)
	case 5:
		return imaging.Transpose(img)
	case 6: // shown turned a quarter clockwise
		return imaging.Rotate90(img)
	case 7:
		return imaging.Transverse(img)
	case 8:
		return imaging.Rotate270(img)
	}
	return img
}

// exif is a JPEG with a block that holds the orientation and the focal length
// of the sample photo's camera, 26 mm.
func exif(t *testing.T, img image.Image, orientation int) []byte {
	t.Helper()
	var b bytes.Buffer
	fatal.If(t, jpeg.Encode(&b, img, &jpeg.Options{Quality: 95}))
	block := "Exif\x00\x00MM\x00\x2a\x00\x00\x00\x08\x00\x02" +
		"\x01\x12\x00\x03\x00\x00\x00\x01\x00" + string(rune(orientation)) + "\x00\x00" +
		"\x87\x69\x00\x04\x00\x00\x00\x01\x00\x00\x00\x26\x00\x00\x00\x00" +
		"\x00\x01\xa4\x05\x00\x03\x00\x00\x00\x01\x00\x1a\x00\x00\x00\x00\x00\x00"
	head := "\xff\xd8\xff\xe1\x00" + string([]byte{byte(len(block) + 2)}) + block
	return append([]byte(head), b.Bytes()[2:]...)
}

// A photo gives the same measures however the phone was held. Each orientation
// is compressed anew, which moves edges by some hundredths of a millimetre, and
// a rounded figure by 0.1.
func TestOrientationsMeasureTheSame(t *testing.T) {
	up := imaging.Rotate180(samplePhoto(t)) // it was stored upside down
	_, want := checked(t, file(t, "1.jpg", exif(t, up, 1)))
	for o := 1; o <= 8; o++ {
		t.Run(fmt.Sprint(o), func(t *testing.T) {
			_, got := checked(t, file(t, "tray.jpg", exif(t, storedAs(up, o), o)))
			sameMeasures(t, got, want, 0.25)
			if got.Photo.WidthPx != want.Photo.WidthPx || got.Mat.TagsSeen != want.Mat.TagsSeen {
				t.Errorf("%d px wide upright, %d tags; want %d and %d", got.Photo.WidthPx, got.Mat.TagsSeen, want.Photo.WidthPx, want.Mat.TagsSeen)
			}
		})
	}
}

func png16(t *testing.T, img image.Image) []byte {
	t.Helper()
	deep := image.NewNRGBA64(img.Bounds())
	draw.Draw(deep, deep.Rect, img, image.Point{}, draw.Src)
	var b bytes.Buffer
	fatal.If(t, png.Encode(&b, deep))
	return b.Bytes()
}

// Kinds of picture that hold the same tray give the same measures. The stored
// ones are half as wide and strongly compressed: a pixel is 0.3 mm there.
func TestKindsMeasureTheSame(t *testing.T) {
	_, want := checked(t, file(t, "tray.jpg", samplePhoto(t)))
	stored := func(name string) []byte {
		data, err := os.ReadFile("../../testdata/kinds/" + name)
		fatal.If(t, err)
		return data
	}
	for name, c := range map[string]struct {
		data []byte
		mm   float64
	}{
		"16-bit PNG":       {png16(t, samplePhoto(t)), 0.25},
		"CMYK JPEG":        {stored("tray-a4-cmyk.jpg"), 0.6},
		"progressive JPEG": {stored("tray-a4-progressive.jpg"), 0.6},
	} {
		t.Run(name, func(t *testing.T) {
			_, got := checked(t, file(t, "tray.jpg", c.data))
			sameMeasures(t, got, want, c.mm)
		})
	}
}

// Without colour a slice cannot be told from its shadow: no number is given.
func TestGrayPhotoGivesNoNumber(t *testing.T) {
	_, r := checked(t, "../../testdata/kinds/tray-a4-gray.jpg")
	if n := len(r.MeasuredPieces()); n != 0 {
		t.Errorf("%d pieces measured in a photo without colour", n)
	}
}

// A JPEG cut short anywhere is refused, never measured on half a picture.
func TestTruncatedPhotos(t *testing.T) {
	data, err := photos.Files.ReadFile("tray-a4.jpg")
	fatal.If(t, err)
	for k := range 20 {
		n := len(data) * (k + 1) / 21
		code, r := checked(t, file(t, "tray.jpg", data[:n]))
		if code != command.ExitRefused || len(r.Problems) != 1 || r.Problems[0].Code != "unreadable" || r.Problems[0].Remedy == "" {
			t.Errorf("cut at %d of %d bytes: exit code %d, problems %+v", n, len(data), code, r.Problems)
		}
	}
}
