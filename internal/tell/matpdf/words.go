package matpdf

import (
	"gonum.org/v1/gonum/spatial/r2"
)

// Letter heights in mm.
const (
	noteLetter    = 2.3
	bodyLetter    = 3.9
	sectionLetter = 4.6
	titleLetter   = 6.5
)

// note is a heading and what it says.
type note struct{ heading, text string }

// notes fit the white places along the bottom side, the most needed first; a
// mat with fewer places leaves out the last, which the instructions repeat.
var notes = []note{
	{"PRINT AT 100 %", "Never “fit to page”. The bar at the top must measure 100.0 mm."},
	{"COVER", "Paper is not for food: lay a clean, clear food-grade sheet over it, one per batch."},
	{"SAFETY", "Fish at 5 °C or colder; follow your local food code. Knife down and hands washed before the phone."},
	{"PHOTOGRAPH", "From straight above, every black square in view, slices apart on the blue."},
}

// margin prints what a person must know with the mat in hand, clear of every
// tag's white cell and of the field.
func (p page) margin() {
	p.pdf.SetTextColor(0, 0, 0)
	bar := p.l.CheckBar
	p.text(bar.To.X+2, bar.To.Y+noteLetter/3, "", noteLetter, "100.0 mm, mat "+paperName(p.l))
	for i, b := range p.l.Notes[:min(len(notes), len(p.l.Notes))] {
		p.note(b, notes[i])
	}
}

func (p page) note(b r2.Box, n note) {
	const inset = 1.0
	p.text(b.Min.X+inset, b.Min.Y+noteLetter, "B", noteLetter, n.heading)
	p.pdf.SetFont(fontName, "", points(noteLetter))
	p.pdf.SetXY(b.Min.X+inset, b.Min.Y+1.4*noteLetter)
	p.pdf.MultiCell(b.Size().X-2*inset, 1.2*noteLetter, n.text, "", "L", false)
}

// text prints one line with its baseline at y.
func (p page) text(x, y float64, style string, letter float64, s string) {
	p.pdf.SetFont(fontName, style, points(letter))
	p.pdf.Text(x, y, s)
}

// instructions fills the last page.
func (p page) instructions() {
	p.pdf.AddPage()
	p.pdf.SetTextColor(0, 0, 0)
	const left = 20.0
	width := p.l.Paper.X - 2*left
	p.pdf.SetXY(left, 18)
	p.pdf.SetFont(fontName, "B", points(titleLetter))
	p.pdf.MultiCell(width, 10, "How to use the mat", "", "L", false)
	for _, s := range sections {
		p.pdf.SetX(left)
		p.pdf.SetFont(fontName, "B", points(sectionLetter))
		p.pdf.MultiCell(width, 8, s.head, "", "L", false)
		p.pdf.SetFont(fontName, "", points(bodyLetter))
		for _, line := range s.lines {
			p.pdf.SetX(left)
			p.pdf.MultiCell(width, 6, "•  "+line, "", "L", false)
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
		"Measure the bar at the top: it must be 100 mm long.",
		"Or, before any fish: lay a bank card on the bare field and photograph it; “netagauge mat --verify PHOTO” keeps the print's true size.",
		"Tape the mat flat to a board. A curled mat gives wrong sizes.",
	}},
	{"Lay out and photograph", []string{
		"Lay a clear, food-grade sheet flat over the whole mat, without folds or air under it. It lifts the slices: give its thickness in mm with --sheet.",
		"Lay the slices on the blue field, apart from each other and 5 mm from its border.",
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
