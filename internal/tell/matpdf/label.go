package matpdf

import (
	"image"
	"image/color"
	"strconv"

	"github.com/hajimehoshi/bitmapfont/v3"
	xfont "golang.org/x/image/font"
	"golang.org/x/image/math/fixed"
	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/core/phrase"
	"netagauge/internal/see/label"
	"netagauge/internal/tell/letters"
)

// label prints the label's QR code and its words in their places.
func (p page) label(text string) error {
	code, err := label.Code(text)
	if err != nil {
		return err
	}
	p.gray(0)
	n := code.Bounds().Dx()
	p.cells(p.l.QR, n, n, func(col, row int) bool {
		return color.GrayModel.Convert(code.At(col, row)).(color.Gray).Y == 0
	})
	return p.words(text)
}

// words prints the label as large as its place allows: in a font that has every
// letter of it, else dot by dot in a bitmap font that has Chinese and Korean too.
func (p page) words(text string) error {
	const inset = 1.0 // more white to the tags on both sides
	b := r2.NewBox(p.l.Label.Min.X+inset, p.l.Label.Min.Y, p.l.Label.Max.X-inset, p.l.Label.Max.Y)
	if letters.For(text) != letters.None {
		p.line(b, text)
		return nil
	}
	dots, err := bitmap(text)
	if err != nil {
		return err
	}
	size := dots.Bounds().Size()
	scale := min(b.Size().X/float64(size.X), largestLetter/float64(size.Y))
	half := r2.Scale(scale/2, r2.Vec{X: float64(size.X), Y: float64(size.Y)})
	place := r2.Box{Min: r2.Sub(b.Center(), half), Max: r2.Add(b.Center(), half)}
	p.gray(0)
	p.cells(place, size.X, size.Y, func(col, row int) bool { return dots.AlphaAt(col, row).A > 127 })
	return nil
}

// largestLetter is the height of a short label's line in mm.
const largestLetter = 8.0

// line prints text centred in b, in one line.
func (p page) line(b r2.Box, text string) {
	p.pdf.SetTextColor(0, 0, 0)
	p.pdf.Use(true, points(largestLetter))
	letter := min(largestLetter, largestLetter*b.Size().X/p.pdf.Width(text))
	p.pdf.Use(true, points(letter))
	p.text(b.Center().X-p.pdf.Width(text)/2, b.Center().Y+midHeight*letter, true, letter, text)
}

// midHeight is how far the middle of a line lies over its baseline, of a letter.
const midHeight = 0.35

// points turns a letter height in mm into typographic points.
func points(mm float64) float64 { return mm / 25.4 * 72 }

// bitmap draws text with one dot to a pixel.
func bitmap(text string) (*image.Alpha, error) {
	face := bitmapfont.FaceEA
	for _, r := range text {
		if _, ok := face.GlyphAdvance(r); !ok {
			return nil, phrase.Wrong("label-no-letter", strconv.Quote(text), strconv.QuoteRune(r))
		}
	}
	m := face.Metrics()
	img := image.NewAlpha(image.Rect(0, 0, xfont.MeasureString(face, text).Ceil(), m.Height.Ceil()))
	d := xfont.Drawer{Dst: img, Src: image.Opaque, Face: face, Dot: fixed.Point26_6{Y: m.Ascent}}
	d.DrawString(text)
	return img, nil
}
