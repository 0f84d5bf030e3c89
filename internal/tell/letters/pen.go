package letters

import (
	"codeberg.org/go-pdf/fpdf"

	"netagauge/internal/core/lines"
)

// Pen sets text on the pages of a PDF in the face that has its letters.
type Pen struct {
	*fpdf.Fpdf
	bold     bool
	size     float64 // points
	japanese bool    // the Japanese font is in the file; it is large, so only when needed
}

// NewPen puts the Latin fonts into a file.
func NewPen(pdf *fpdf.Fpdf) *Pen {
	pdf.AddUTF8FontFromBytes(string(LatinFace), "", Latin)
	pdf.AddUTF8FontFromBytes(string(LatinFace), "B", Bold)
	p := &Pen{Fpdf: pdf}
	p.Use(false, 10)
	return p
}

// Use sets size and weight of what is written from now on.
func (p *Pen) Use(bold bool, points float64) {
	p.bold, p.size = bold, points
	p.take(LatinFace)
}

func (p *Pen) take(f Face) {
	style := ""
	if p.bold && f == LatinFace {
		style = "B"
	}
	if f == JapaneseFace && !p.japanese {
		p.AddUTF8FontFromBytes(string(f), "", Japanese())
		p.japanese = true
	}
	p.SetFont(string(f), style, p.size)
}

// face is that of a text; of one that no face has, the Japanese one, which has most.
func face(s string) Face {
	if f := For(s); f != None {
		return f
	}
	return JapaneseFace
}

// Width of a text in mm.
func (p *Pen) Width(s string) float64 {
	p.take(face(s))
	return p.GetStringWidth(s)
}

// Write puts a line of text with its baseline at y and moves nothing. The Japanese
// font has one weight: bold is drawn with an outline.
func (p *Pen) Write(x, y float64, s string) {
	f := face(s)
	p.take(f)
	if !p.bold || f != JapaneseFace {
		p.Text(x, y, s)
		return
	}
	wide := p.GetLineWidth()
	r, g, b := p.GetDrawColor()
	p.SetDrawColor(p.GetTextColor())
	p.SetLineWidth(p.size * boldStroke)
	p.SetTextRenderingMode(2)
	p.Text(x, y, s)
	p.SetTextRenderingMode(0)
	p.SetLineWidth(wide)
	p.SetDrawColor(r, g, b)
}

// boldStroke is the outline of a bold letter, mm for each point of its size.
const boldStroke = 0.008

// Wrap breaks a text into lines of a width in mm.
func (p *Pen) Wrap(s string, width float64) []string {
	p.take(face(s))
	return lines.Break(s, width, p.GetStringWidth)
}

// Widest is the width of the widest word of a text, in mm.
func (p *Pen) Widest(s string) float64 { return lines.Widest(s, p.Width) }
