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

// notes fit the white places along the bottom side, heading and text, the most
// needed first; a mat with fewer places leaves out the last, which the
// instructions repeat.
var notes = [][2]string{
	{"sheet-print", "sheet-print-text"},
	{"sheet-cover", "sheet-cover-text"},
	{"sheet-safety", "sheet-safety-text"},
	{"sheet-photograph", "sheet-photograph-text"},
}

// margin prints what a person must know with the mat in hand, clear of every
// tag's white cell and of the field.
func (p page) margin() {
	p.pdf.SetTextColor(0, 0, 0)
	if bar := p.l.CheckBar; !p.l.Rulers[0].Numbered {
		p.text(bar.To.X+2, bar.To.Y+noteLetter/3, "", noteLetter, p.say.Word("sheet-bar", paperName(p.l)))
	}
	for i, b := range p.l.Notes[:min(len(notes), len(p.l.Notes))] {
		p.note(b, notes[i])
	}
}

func (p page) note(b r2.Box, n [2]string) {
	const inset = 1.0
	p.text(b.Min.X+inset, b.Min.Y+noteLetter, "B", noteLetter, p.say.Word(n[0]))
	p.pdf.SetFont(fontName, "", points(noteLetter))
	p.pdf.SetXY(b.Min.X+inset, b.Min.Y+1.4*noteLetter)
	p.pdf.MultiCell(b.Size().X-2*inset, 1.2*noteLetter, p.say.Word(n[1]), "", "L", false)
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
	p.pdf.MultiCell(width, 10, p.say.Word("sheet-use"), "", "L", false)
	for _, keys := range sections {
		p.pdf.SetX(left)
		p.pdf.SetFont(fontName, "B", points(sectionLetter))
		p.pdf.MultiCell(width, 8, p.say.Word(keys[0]), "", "L", false)
		p.pdf.SetFont(fontName, "", points(bodyLetter))
		for _, key := range keys[1:] {
			p.pdf.SetX(left)
			p.pdf.MultiCell(width, 6, "•  "+p.say.Word(key), "", "L", false)
		}
	}
}

// sections are the instructions, each a heading and its points.
var sections = [][]string{
	{"sheet-printing", "sheet-printing-1", "sheet-printing-2", "sheet-printing-3", "sheet-printing-4"},
	{"sheet-laying", "sheet-laying-1", "sheet-laying-2", "sheet-laying-3"},
	{"cautions", "sheet-caution-food", "sheet-caution-cold", "sheet-caution-law", "sheet-caution-hands", "sheet-caution-species", "sheet-caution-knife"},
}
