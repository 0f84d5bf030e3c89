package report

import (
	"image"
	"image/color"
	"image/draw"
	"os"
	"testing"
)

// tableau is a picture of the sample tray at a scale: an A3 sheet, a field, and
// a patch of invented flesh colour for each piece.
func tableau(pxPerMM float64) *image.RGBA {
	img := image.NewRGBA(image.Rect(0, 0, int(420*pxPerMM), int(297*pxPerMM)))
	draw.Draw(img, img.Bounds(), image.White, image.Point{}, draw.Src)
	field := image.Rect(int(30*pxPerMM), int(30*pxPerMM), int(390*pxPerMM), int(267*pxPerMM))
	draw.Draw(img, field, image.NewUniform(color.RGBA{60, 110, 190, 255}), image.Point{}, draw.Src)
	p, err := newPen(img, 12)
	if err != nil {
		panic(err)
	}
	flesh := []color.RGBA{{225, 120, 90, 255}, {120, 20, 30, 255}, {235, 230, 225, 255}, {150, 40, 45, 255}, {240, 150, 110, 255}, {200, 200, 190, 255}, {220, 220, 225, 255}}
	a := annotator{pen: p, scale: pxPerMM}
	for i, piece := range sample().Pieces {
		p.fill(flesh[i%len(flesh)], a.polygon(piece.Outline))
	}
	return img
}

var ball = Footprint{Length: 65, Width: 30, Corner: 14}

func TestShow(t *testing.T) {
	for name, scale := range map[string]float64{"/tmp/shot/ann4.jpg": 4, "/tmp/shot/ann8.jpg": 8} {
		img := tableau(scale)
		if err := Annotate(img, scale, sample(), ball); err != nil {
			t.Fatal(err)
		}
		b, _ := EncodeJPEG(img)
		os.WriteFile(name, b, 0o644)
	}
}

func BenchmarkAnnotate(b *testing.B) {
	base := tableau(4)
	work := image.NewRGBA(base.Rect)
	for b.Loop() {
		copy(work.Pix, base.Pix)
		if err := Annotate(work, 4, sample(), ball); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkEncodeJPEG(b *testing.B) {
	img := tableau(4)
	for b.Loop() {
		if _, err := EncodeJPEG(img); err != nil {
			b.Fatal(err)
		}
	}
}
