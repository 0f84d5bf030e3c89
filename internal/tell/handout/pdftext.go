package handout

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"strings"

	"codeberg.org/go-pdf/fpdf"
	"github.com/hajimehoshi/bitmapfont/v3"
	"golang.org/x/image/font"
	"golang.org/x/image/math/fixed"
	"golang.org/x/text/language"
	"golang.org/x/text/unicode/bidi"

	"netagauge/internal/tell/letters"
	"netagauge/internal/tell/report"
)

// doc is a PDF with text in any script: what the embedded fonts lack is drawn as a
// picture from a bitmap font, over the same text made invisible, so that it can be
// searched and read aloud. Characters outside the basic plane, which the PDF library
// cannot hold, appear as their escapes.
type doc struct {
	*letters.Pen
	say         words
	orientation string // of the page, L or P
	pictures    int
}

const pdfMargin = 12.0 // mm

// paper lies within A4 and US Letter alike, so that either prints it at full size
// and nothing is cut off: the width of A4 by the height of Letter, mm.
var paper = fpdf.SizeType{Wd: 210, Ht: 279.4}

func newDoc(say words, title string) *doc {
	pdf := fpdf.NewCustom(&fpdf.InitType{OrientationStr: "P", UnitStr: "mm", Size: paper})
	pdf.SetMargins(pdfMargin, pdfMargin, pdfMargin)
	pdf.SetAutoPageBreak(false, pdfMargin)
	pdf.SetCatalogSort(true)
	pdf.SetTitle(basic(title), true)
	pdf.SetLang(say.Tag())
	return &doc{Pen: letters.NewPen(pdf), say: say}
}

// page starts one, upright (P) or lying (L).
func (d *doc) page(orientation string) {
	d.orientation = orientation
	d.AddPageFormat(orientation, paper)
}

// basic makes a text from outside harmless and fit for the PDF library.
func basic(s string) string {
	var out bytes.Buffer
	for _, r := range report.Printable(s) {
		if r > 0xffff {
			fmt.Fprintf(&out, `\U%08x`, r)
		} else {
			out.WriteRune(r)
		}
	}
	return out.String()
}

// wrap breaks a text into lines that fit a width in mm, in the current font.
func (d *doc) wrap(s string, width, high float64) []string {
	s = basic(s)
	if letters.For(s) != letters.None {
		return d.Wrap(s, width)
	}
	var out []string
	line, used := []rune{}, 0.0
	for _, r := range s {
		w := glyphWidth(r) * high / lineHeightPx
		if used+w > width && len(line) > 0 {
			out, line, used = append(out, string(line)), nil, 0
		}
		line, used = append(line, r), used+w
	}
	return append(out, string(line))
}

// text writes lines below each other at the left end of a place, each high mm
// tall, and moves nothing.
func (d *doc) text(x, y, high float64, lines []string) error {
	for i, s := range lines {
		top := y + float64(i)*high
		if letters.For(s) != letters.None {
			d.Write(x, top+0.76*high, asSeen(s))
			continue
		}
		if err := d.picture(x, top, high, s); err != nil {
			return err
		}
	}
	return d.Error()
}

// paragraph writes a wrapped text over the width of the page and moves below it.
func (d *doc) paragraph(style string, size, high float64, s string) error {
	d.Use(style == "B", size)
	width, _ := d.GetPageSize()
	for _, line := range d.wrap(s, width-2*pdfMargin, high) {
		d.room(high)
		if err := d.text(pdfMargin, d.GetY(), high, []string{line}); err != nil {
			return err
		}
		d.SetXY(pdfMargin, d.GetY()+high)
	}
	return d.Error()
}

// room starts a new page when less than high mm are left; it reports whether it
// did.
func (d *doc) room(high float64) bool {
	_, height := d.GetPageSize()
	if d.GetY()+high <= height-pdfMargin {
		return false
	}
	d.page(d.orientation)
	return true
}

// lineHeightPx is the height of the bitmap font's lines, enlarge how often its
// pixels are repeated so that viewers do not blur them.
const (
	lineHeightPx = 16
	enlarge      = 3
)

func glyphWidth(r rune) float64 {
	a, ok := bitmapfont.Face.GlyphAdvance(r)
	if !ok {
		return 12
	}
	return float64(a.Round())
}

// picture draws one line from the bitmap font, high mm tall, over its invisible
// text. Right-to-left scripts are put into the order they are seen in.
func (d *doc) picture(x, y, high float64, s string) error {
	d.SetAlpha(0, "Normal")
	d.Text(x, y+0.76*high, asSeen(s))
	d.SetAlpha(1, "Normal")
	seen := bitmapfont.PresentationForms(s, bitmapfont.DirectionLeftToRight, language.Und)
	width := 1
	for _, r := range seen {
		width += int(glyphWidth(r))
	}
	img := image.NewGray(image.Rect(0, 0, width, lineHeightPx))
	draw.Draw(img, img.Rect, image.White, image.Point{}, draw.Src)
	pen := font.Drawer{Dst: img, Src: image.NewUniform(color.Gray{20}), Face: bitmapfont.Face, Dot: fixed.P(0, 12)}
	pen.DrawString(seen)
	const gap = 0.06 // of the height, so that the picture hides no rule above or below
	return d.place("png", encodePNG(larger(img)), x, y+gap*high, float64(width)*high/lineHeightPx, (1-2*gap)*high)
}

// asSeen puts right-to-left runs into the order in which they stand on paper,
// which is the order in which readers of a PDF expect to find them.
func asSeen(s string) string {
	var p bidi.Paragraph
	if _, err := p.SetString(s, bidi.DefaultDirection(bidi.LeftToRight)); err != nil {
		return s
	}
	order, err := p.Order()
	if err != nil {
		return s
	}
	var out strings.Builder
	for i := range order.NumRuns() {
		run := order.Run(i)
		if run.Direction() == bidi.RightToLeft {
			out.WriteString(bidi.ReverseString(run.String()))
		} else {
			out.WriteString(run.String())
		}
	}
	return out.String()
}

// larger repeats each pixel.
func larger(img *image.Gray) *image.Gray {
	out := image.NewGray(image.Rect(0, 0, img.Rect.Dx()*enlarge, img.Rect.Dy()*enlarge))
	for y := range out.Rect.Dy() {
		for x := range out.Rect.Dx() {
			out.SetGray(x, y, img.GrayAt(x/enlarge, y/enlarge))
		}
	}
	return out
}

func encodePNG(img image.Image) []byte {
	var b bytes.Buffer
	if err := png.Encode(&b, img); err != nil {
		panic(err) // a buffer takes everything
	}
	return b.Bytes()
}
