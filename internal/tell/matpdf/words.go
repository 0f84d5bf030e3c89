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
		p.text(bar.To.X+2, bar.To.Y+noteLetter/3, false, noteLetter, p.say.Word("sheet-bar", paperName(p.l)))
	}
	for i, b := range p.l.Notes[:min(len(notes), len(p.l.Notes))] {
		b.Min.X, b.Max.X = b.Min.X+noteInset, b.Max.X-noteInset
		p.block(b, p.say.Word(notes[i][0]), p.say.Word(notes[i][1]), noteLetter)
	}
}

const noteInset = 1.0 // mm, of white beside the tags

// block prints a heading and a text into a box, as large as it goes.
func (p page) block(b r2.Box, heading, text string, letter float64) {
	letter, _ = p.fit(b, text, letter)
	y := b.Min.Y + letter
	p.text(b.Min.X, y, true, letter, heading)
	p.pdf.Use(false, points(letter))
	for _, line := range p.pdf.Wrap(text, b.Size().X) {
		y += lineHigh * letter
		p.text(b.Min.X, y, false, letter, line)
	}
}

// fit is the largest letter in which a text and a heading fit a box, and how high
// they then are together.
func (p page) fit(b r2.Box, text string, letter float64) (fits, high float64) {
	for ; ; letter -= 0.1 {
		p.pdf.Use(false, points(letter))
		high = lineHigh * letter * float64(1+len(p.pdf.Wrap(text, b.Size().X)))
		if high <= b.Size().Y || letter < leastLetter {
			return letter, high
		}
	}
}

const (
	leastLetter = 1.6 // mm, what is still read at arm's length
	lineHigh    = 1.2 // of a letter
)

// text prints one line with its baseline at y.
func (p page) text(x, y float64, bold bool, letter float64, s string) {
	p.pdf.Use(bold, points(letter))
	p.pdf.Write(x, y, s)
}

// instructions fills the last page, in smaller letters on smaller paper.
func (p page) instructions() {
	for size := 1.0; size > 0.5; size -= 0.05 {
		if p.instruct(size, false) <= p.l.Paper.Y-instructMargin {
			p.pdf.AddPage()
			p.pdf.SetTextColor(0, 0, 0)
			p.instruct(size, true)
			return
		}
	}
}

const instructMargin = 16.0 // mm

// instruct prints the instructions, or finds how far down they go.
func (p page) instruct(size float64, print bool) float64 {
	y := instructMargin
	lines := func(bold bool, letter, high float64, s string) {
		p.pdf.Use(bold, points(size*letter))
		for _, line := range p.pdf.Wrap(s, p.l.Paper.X-2*instructMargin) {
			y += size * high
			if print {
				p.text(instructMargin, y-0.3*size*high, bold, size*letter, line)
			}
		}
	}
	lines(true, titleLetter, 10, p.say.Word("sheet-use"))
	for _, keys := range sections {
		y += size * 1.5
		lines(true, sectionLetter, 7, p.say.Word(keys[0]))
		for _, key := range keys[1:] {
			lines(false, bodyLetter, 6, "•  "+p.say.Word(key))
		}
	}
	return y
}

// sections are the instructions, each a heading and its points.
var sections = [][]string{
	{"sheet-printing", "sheet-printing-1", "sheet-printing-2", "sheet-printing-3", "sheet-printing-4"},
	{"sheet-laying", "sheet-laying-1", "sheet-laying-2", "sheet-laying-3"},
	{"cautions", "sheet-caution-food", "sheet-caution-cold", "sheet-caution-law", "sheet-caution-hands", "sheet-caution-species", "sheet-caution-knife"},
}
