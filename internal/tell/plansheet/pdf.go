package plansheet

import (
	"io"
	"time"

	"codeberg.org/go-pdf/fpdf"
	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/tell/letters"
)

// page lies across, within A4 and US Letter alike, so that either prints it at full
// size, mm.
const (
	pageWidth  = 279.4
	pageHeight = 210.0
	pageMargin = 10.0
)

// PDF writes the sheet that lies beside the board: the drawings, at the
// block's own size when the page is wide enough, the table, the cautions, and
// the lines on the board at full size, to lay the block on. Its fonts hold Latin,
// Greek, Cyrillic and Japanese; HTML prints in any script.
func (s Sheet) PDF(w io.Writer) error {
	p := newSheet(s.Title)
	p.heading(s.Title)
	for _, t := range s.intro() {
		p.text(t)
	}
	above, side := s.fromAbove(blade), s.fromSide()
	scale := min(1, (pageWidth-2*pageMargin)/above.width)
	p.drawing(above, scale, s.Words.Word("plan-above")+" "+s.scaleText(scale))
	p.drawing(side, scale, s.Words.Word("plan-side"))
	p.table(s.Rows(), s.Blade > 0)
	for _, t := range s.Summary() {
		p.text(t)
	}
	p.list(s.Words.Word("cautions"), s.cautions())
	p.fan(s.fan(), s.Words.Word("plan-fan"))
	return p.pdf.Output(w)
}

func (s Sheet) scaleText(scale float64) string {
	if scale == 1 {
		return s.Words.Word("plan-full-size")
	}
	return s.say("plan-scale", 100*scale)
}

// fan draws a figure at full size over as many pages as it is long, each with a
// bar of 100 mm; the first is the page begun where it has room. Pages overlap by the
// figure's margins, and no page is begun for the last one's blank millimetre.
func (p pdfSheet) fan(f figure, caption string) {
	const wide = pageWidth - 2*pageMargin
	const above = 12.0 // mm, of caption and bar
	for from := 0.0; from == 0 || from+2*margin < f.width-1; from += wide - 2*margin {
		if from > 0 || !p.room(above+f.height) {
			p.pdf.AddPage()
		}
		p.heading2(caption)
		p.pdf.SetLineWidth(0.3)
		p.pdf.SetDrawColor(0, 0, 0)
		y := p.pdf.GetY() + 3
		p.pdf.Line(pageMargin, y, pageMargin+100, y)
		for _, x := range []float64{0, 100} {
			p.pdf.Line(pageMargin+x, y-1.2, pageMargin+x, y+1.2)
		}
		p.pdf.Use(false, 8)
		p.pdf.Write(pageMargin+102, y+1, "100.0 mm")
		p.pdf.ClipRect(pageMargin, y+2, wide, pageHeight-pageMargin-y-2, false)
		p.figure(f, pageMargin-from, y+2, 1)
		p.pdf.ClipEnd()
	}
}

type pdfSheet struct{ pdf *letters.Pen }

func newSheet(title string) pdfSheet {
	pdf := fpdf.NewCustom(&fpdf.InitType{OrientationStr: "L", UnitStr: "mm", Size: fpdf.SizeType{Wd: pageHeight, Ht: pageWidth}})
	pdf.SetMargins(pageMargin, pageMargin, pageMargin)
	pdf.SetAutoPageBreak(true, pageMargin)
	pdf.SetTitle(title, true)
	// The same plan gives the same bytes.
	pdf.SetCatalogSort(true)
	pdf.SetCreationDate(time.Unix(0, 0).UTC())
	pdf.SetModificationDate(time.Unix(0, 0).UTC())
	pdf.AddPage()
	return pdfSheet{letters.NewPen(pdf)}
}

// room reports whether so many mm are left on the page.
func (s pdfSheet) room(high float64) bool { return s.pdf.GetY()+high <= pageHeight-pageMargin }

// list writes points under a heading, all of them on one page.
func (s pdfSheet) list(heading string, points []string) {
	high := 2 + lineHigh
	for i, t := range points {
		points[i] = "•  " + t
		s.pdf.Use(false, letter)
		high += lineHigh * float64(len(s.pdf.Wrap(points[i], pageWidth-2*pageMargin)))
	}
	if !s.room(high) {
		s.pdf.AddPage()
	}
	s.heading2(heading)
	for _, t := range points {
		s.text(t)
	}
}

func (s pdfSheet) heading(t string) { s.lines(t, true, 15, 8) }

func (s pdfSheet) heading2(t string) {
	s.pdf.Ln(2)
	s.lines(t, true, letter, lineHigh)
}

func (s pdfSheet) text(t string) { s.lines(t, false, letter, lineHigh) }

const (
	letter   = 10.0 // points
	lineHigh = 5.0  // mm
)

// lines writes a text over the width of the page, each line high mm tall.
func (s pdfSheet) lines(t string, bold bool, size, high float64) {
	s.pdf.Use(bold, size)
	for _, line := range s.pdf.Wrap(t, pageWidth-2*pageMargin) {
		if !s.room(high) {
			s.pdf.AddPage()
		}
		s.pdf.Write(pageMargin, s.pdf.GetY()+0.76*high, line)
		s.pdf.SetXY(pageMargin, s.pdf.GetY()+high)
	}
}

// drawing puts a figure below what is there, on a new page if it must.
func (s pdfSheet) drawing(f figure, scale float64, caption string) {
	if !s.room(f.height*scale + 7) {
		s.pdf.AddPage()
	}
	s.heading2(caption)
	y0 := s.pdf.GetY()
	s.figure(f, pageMargin, y0, scale)
	s.pdf.SetY(y0 + f.height*scale)
}

func (s pdfSheet) figure(f figure, x0, y0, scale float64) {
	at := func(p r2.Vec) (x, y float64) { return x0 + p.X*scale, y0 + p.Y*scale }
	for _, l := range f.lines {
		s.line(l, at)
	}
	s.pdf.SetDashPattern(nil, 0)
	s.pdf.SetLineWidth(0.2)
	s.pdf.SetDrawColor(0, 0, 0)
	for _, t := range f.labels {
		s.label(t, at, scale)
	}
}

func (s pdfSheet) line(l line, at func(r2.Vec) (float64, float64)) {
	s.pdf.SetDashPattern(nil, 0)
	switch l.stroke {
	case edge:
		s.pdf.SetLineWidth(0.5)
		s.pdf.SetDrawColor(0, 0, 0)
	case blade:
		s.pdf.SetLineWidth(0.35)
		s.pdf.SetDrawColor(0, 0, 0)
	case under:
		s.pdf.SetLineWidth(0.2)
		s.pdf.SetDrawColor(110, 110, 110)
		s.pdf.SetDashPattern([]float64{1.5, 1.2}, 0)
	}
	for i, p := range l.points {
		if x, y := at(p); i == 0 {
			s.pdf.MoveTo(x, y)
		} else {
			s.pdf.LineTo(x, y)
		}
	}
	if l.shut {
		s.pdf.ClosePath()
	}
	s.pdf.DrawPath("D")
}

func (s pdfSheet) label(t label, at func(r2.Vec) (float64, float64), scale float64) {
	s.pdf.Use(false, 8*scale)
	x, y := at(t.at)
	if t.ring {
		s.pdf.Circle(x, y, ringRadius*scale, "D")
	}
	s.pdf.Write(x-s.pdf.Width(t.text)/2, y+1*scale, t.text)
}

// table writes the rows, the header again on each page.
func (s pdfSheet) table(rows [][]string, spine bool) {
	widths := []float64{14, 23, 23, 18, 18, 18, 18, 16, 16, 16, 79.4}
	if spine {
		widths = []float64{13, 23, 23, 17, 17, 21, 16, 18, 14, 14, 13, 70.4}
	}
	const high = 5.0
	write := func(row []string, bold bool) {
		x, y := pageMargin, s.pdf.GetY()
		for i, cell := range row {
			s.fit(cell, bold, widths[i]-1)
			at := x + widths[i] - 1 - s.pdf.Width(cell)
			if i == len(row)-1 {
				at = x + 3
			}
			s.pdf.Write(at, y+0.72*high, cell)
			x += widths[i]
		}
		s.pdf.Line(pageMargin, y+high, x, y+high)
		s.pdf.SetXY(pageMargin, y+high)
	}
	s.pdf.SetDrawColor(160, 160, 160)
	s.pdf.SetLineWidth(0.15)
	if !s.room(float64(len(rows))*high + 4) {
		s.pdf.AddPage()
	}
	s.pdf.Ln(2)
	write(rows[0], true)
	for _, row := range rows[1:] {
		if !s.room(high) {
			s.pdf.AddPage()
			write(rows[0], true)
		}
		write(row, false)
	}
	s.pdf.Ln(2)
}

// fit takes the largest letter up to 9 points in which a cell's text is no wider.
func (s pdfSheet) fit(t string, bold bool, wide float64) {
	size := 9.0
	for s.pdf.Use(bold, size); size > 5 && s.pdf.Width(t) > wide-2; {
		size -= 0.25
		s.pdf.Use(bold, size)
	}
}
