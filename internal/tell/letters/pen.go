package letters

import (
	"strings"

	"codeberg.org/go-pdf/fpdf"
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

// Size is the size in points.
func (p *Pen) Size() float64 { return p.size }

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

// Wrap breaks a text into lines of a width in mm: at spaces, and between letters
// that are written without spaces, but never before a closing mark or after an
// opening one. A word that is wider than a line is broken anywhere.
func (p *Pen) Wrap(s string, width float64) []string {
	p.take(face(s))
	var out []string
	for para := range strings.SplitSeq(s, "\n") {
		line := ""
		for _, w := range words(para) {
			if line == "" || p.GetStringWidth(line+strings.TrimRight(w, " ")) <= width {
				line += w
			} else {
				out, line = append(out, strings.TrimRight(line, " ")), w
			}
			for p.GetStringWidth(strings.TrimRight(line, " ")) > width && len([]rune(line)) > 1 {
				n := p.fits(line, width)
				out, line = append(out, string([]rune(line)[:n])), string([]rune(line)[n:])
			}
		}
		out = append(out, strings.TrimRight(line, " "))
	}
	return out
}

// fits is how many letters of a line fit, at least one.
func (p *Pen) fits(line string, width float64) int {
	r := []rune(line)
	n := 1
	for n < len(r) && p.GetStringWidth(string(r[:n+1])) <= width {
		n++
	}
	return n
}

// Widest is the width of the widest word of a text, in mm.
func (p *Pen) Widest(s string) (wide float64) {
	for _, w := range words(s) {
		wide = max(wide, p.Width(strings.TrimRight(w, " ")))
	}
	return wide
}

const (
	closing = "。、，．・：；！？）」』】〉》〕］｝ー々ぁぃぅぇぉっゃゅょァィゥェォッャュョ%％°,.;:!?)]}"
	opening = "（「『【〈《〔［｛([{"
)

// words are the pieces of a text between which a line may be broken, each with the
// spaces after it.
func words(s string) []string {
	var out []string
	word := []rune{}
	r := []rune(s)
	for i, c := range r {
		word = append(word, c)
		if i+1 == len(r) || breaks(c, r[i+1]) {
			out, word = append(out, string(word)), word[:0]
		}
	}
	return out
}

// breaks reports whether a line may end after a, before b.
func breaks(a, b rune) bool {
	switch {
	case b == ' ' || strings.ContainsRune(closing, b) || strings.ContainsRune(opening, a):
		return false
	case a == ' ':
		return true
	}
	return wide(a) || wide(b)
}

// wide reports whether a letter is of a script without spaces between words: kana,
// kanji and the marks beside them.
func wide(r rune) bool { return r >= 0x3000 && r <= 0x9fff || r >= 0xff00 && r <= 0xffef }
