// Package matpdf draws the printed mat as a vector PDF, in exact millimetres of
// the mat frame (origin at the paper's top-left corner, x right, y down), from
// the same layout that finds the mat in a photo. It decides nothing of the
// layout.
package matpdf

import (
	"bytes"
	"fmt"
	"io"
	"time"

	"codeberg.org/go-pdf/fpdf"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/label"
	"netagauge/internal/mat"
)

const fontName = "go"

// Write draws one mat a label, or a single one without a label, and a last page
// that says how to print and use it. The same input gives the same bytes.
func Write(w io.Writer, l mat.Layout, labels []string) error {
	pdf := fpdf.NewCustom(&fpdf.InitType{
		OrientationStr: "L", UnitStr: "mm", Size: fpdf.SizeType{Wd: l.Paper.Y, Ht: l.Paper.X},
	})
	pdf.SetMargins(0, 0, 0)
	pdf.SetAutoPageBreak(false, 0)
	pdf.SetCreationDate(time.Unix(0, 0).UTC())
	pdf.SetModificationDate(time.Unix(0, 0).UTC())
	pdf.SetTitle("netagauge mat "+l.Name, true)
	pdf.AddUTF8FontFromBytes(fontName, "", goregular.TTF)
	pdf.AddUTF8FontFromBytes(fontName, "B", gobold.TTF)
	p := page{pdf, l}
	if len(labels) == 0 {
		labels = []string{""}
	}
	for i, text := range labels {
		pdf.AddPage()
		p.mat()
		if text != "" {
			if err := p.label(text, i); err != nil {
				return err
			}
		}
	}
	pdf.AddPage()
	p.instructions()
	if err := pdf.Error(); err != nil {
		return fmt.Errorf("draw the mat: %w", err)
	}
	return pdf.Output(w)
}

type page struct {
	pdf *fpdf.Fpdf
	l   mat.Layout
}

func (p page) box(b r2.Box) { p.pdf.Rect(b.Min.X, b.Min.Y, b.Max.X-b.Min.X, b.Max.Y-b.Min.Y, "F") }

func (p page) ink(r, g, b uint8) { p.pdf.SetFillColor(int(r), int(g), int(b)) }

// mat draws field, tags, gray patches, rulers, check bar and the line on
// printing.
func (p page) mat() {
	c := p.l.FieldColor
	p.ink(c.R, c.G, c.B)
	p.box(p.l.Field)
	for _, g := range p.l.Patches {
		p.ink(g.Gray, g.Gray, g.Gray)
		p.box(g.Box)
	}
	p.ink(0, 0, 0)
	for _, t := range p.l.Tags {
		p.tag(t)
	}
	for _, r := range p.l.Rulers {
		for _, tick := range r.Ticks() {
			p.box(tick)
		}
	}
	p.checkBar()
	p.notes()
}

// tag draws the dark modules of a tag, each row's neighbours as one bar, so that
// no hairline shows between them.
func (p page) tag(t mat.Tag) {
	o, m := t.Corners[0], p.l.ModuleMM
	for j, row := range t.Modules {
		for i := 0; i < len(row); {
			k := i
			for k < len(row) && row[k] == '0' {
				k++
			}
			if k > i {
				p.pdf.Rect(o.X+float64(i)*m, o.Y+float64(j)*m, float64(k-i)*m, m, "F")
			}
			i = max(k, i+1)
		}
	}
}

// checkBar is the bar whose end caps are 100 mm apart.
func (p page) checkBar() {
	a, b := p.l.CheckBar.From, p.l.CheckBar.To
	p.pdf.Rect(a.X, a.Y-0.25, b.X-a.X, 0.5, "F")
	p.pdf.Rect(a.X, a.Y-1.5, 0.4, 3, "F")
	p.pdf.Rect(b.X-0.4, b.Y-1.5, 0.4, 3, "F")
	p.pdf.SetFont(fontName, "", 6)
	p.pdf.Text(b.X+2, b.Y+0.8, "100.0 mm: measure this bar after printing")
}

// notes are the lines in the free places of the bottom side.
func (p page) notes() {
	lines := []string{
		"netagauge mat " + p.l.Name,
		"Print at 100 %, not fitted to the page. Not for food: cover with a clear food-grade sheet, clean or new for each batch.",
		"Keep the fish at 5 °C or below; follow your local food code. Put the knife down before you touch the phone.",
	}
	p.pdf.SetFont(fontName, "", 5)
	for i, b := range p.l.Notes {
		if i == len(lines) {
			return
		}
		p.pdf.SetXY(b.Min.X, b.Min.Y)
		p.pdf.MultiCell(b.Max.X-b.Min.X, 2, lines[i], "", "L", false)
	}
}

// label prints a label in words and as a QR code.
func (p page) label(text string, n int) error {
	png, err := label.PNG(text)
	if err != nil {
		return err
	}
	name := fmt.Sprintf("label%d", n)
	p.pdf.RegisterImageOptionsReader(name, fpdf.ImageOptions{ImageType: "PNG"}, bytes.NewReader(png))
	q := p.l.QR
	p.pdf.ImageOptions(name, q.Min.X, q.Min.Y, q.Max.X-q.Min.X, q.Max.Y-q.Min.Y, false, fpdf.ImageOptions{ImageType: "PNG"}, 0, "")
	p.pdf.SetFont(fontName, "B", 9)
	p.pdf.SetXY(p.l.Label.Min.X, p.l.Label.Min.Y+3)
	p.pdf.MultiCell(p.l.Label.Max.X-p.l.Label.Min.X, 4, text, "", "L", false)
	return nil
}

// instructions fills the last page.
func (p page) instructions() {
	const left = 20.0
	width := p.l.Paper.X - 2*left
	p.pdf.SetXY(left, 18)
	p.pdf.SetFont(fontName, "B", 16)
	p.pdf.MultiCell(width, 8, "How to use the mat", "", "L", false)
	for _, s := range sections {
		p.pdf.SetX(left)
		p.pdf.SetFont(fontName, "B", 11)
		p.pdf.MultiCell(width, 8, s.head, "", "L", false)
		p.pdf.SetFont(fontName, "", 10)
		for _, line := range s.lines {
			p.pdf.SetX(left)
			p.pdf.MultiCell(width, 5, "•  "+line, "", "L", false)
		}
	}
}

// sections are the instructions. The cautions follow the FDA Food Code: food
// contact 4-101.11, cold holding 3-501.16, parasites 3-402.11.
var sections = []struct {
	head  string
	lines []string
}{
	{"Print", []string{
		"Print at 100 % (actual size) on matt paper. Do not fit it to the page.",
		"Measure the bar at the top: it must be 100 mm long. A bank card laid on the field tells the program the print's true size.",
		"Tape the mat flat to a board. A curled mat gives wrong sizes.",
	}},
	{"Lay out and photograph", []string{
		"Cover the mat with a clear, food-grade sheet. Lay the slices on the blue field, apart from each other and 5 mm from its border.",
		"Hold the phone flat above the middle, 40 to 50 cm high, with the whole mat in the picture. Avoid the lamp's mirror image.",
	}},
	{"Cautions", []string{
		"The printed mat is not made for contact with food: it soaks and its ink comes off. Use one sheet for each batch, clean or thrown away.",
		"Be quick, and put the fish back to 5 °C or below. The program keeps no record of temperature and proves nothing about safety.",
		"A picture shows nothing of parasites, freshness or freezing. Follow your local food code and the rules on freezing raw fish.",
		"Phone and tripod are not clean: wash your hands between phone and fish. Keep cards and coins off the food side of the sheet.",
		"Species carry allergens: do not let them touch each other or share a sheet.",
		"Put the knife down before you look at a screen. An angle in a plan is a plan, not an order.",
	}},
}
