package matpdf

import (
	"fmt"
	"io"

	"codeberg.org/go-pdf/fpdf"
	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/core/phrase"
	"netagauge/internal/judge/acceptance"
)

// WriteShapes writes the sheet of shapes for the acceptance of an installation, on
// the paper of its mat: a piece of the field to cut out, the shapes on it, and what
// to do in the rim that is cut away.
func WriteShapes(w io.Writer, s acceptance.Sheet, say *phrase.Language) error {
	p := newPage(s.Layout, say)
	p.pdf.SetTitle(p.say.Word("proof-title", paperName(s.Layout)), true)
	p.pdf.AddPage()
	f := s.Layout.FieldColor
	p.pdf.SetFillColor(int(f.R), int(f.G), int(f.B))
	p.box(s.Cut)
	p.pdf.SetFillColor(salmon[0], salmon[1], salmon[2])
	for _, shape := range s.Shapes {
		p.filled(shape.Outline)
	}
	p.checkBar(s.Layout.CheckBar)
	p.pdf.SetTextColor(0, 0, 0)
	bar := s.Layout.CheckBar
	p.text(bar.To.X+2, bar.To.Y+noteLetter/3, false, noteLetter, p.say.Word("proof-bar"))
	steps := p.say.Word("proof-print") + "\n" + p.say.Word("proof-lay") + "\n" + p.say.Word("proof-photograph")
	under := r2.NewBox(s.Cut.Min.X, s.Cut.Max.Y+2, s.Layout.Paper.X-s.Cut.Min.X, s.Layout.Paper.Y-printable)
	if bar.From.Y > s.Cut.Max.Y {
		under.Max.Y = bar.From.Y - capHalf - 1
	}
	p.block(under, p.say.Word("proof-title", paperName(s.Layout)), steps, proofLetter)
	if err := p.pdf.Output(w); err != nil {
		return fmt.Errorf("draw the sheet of shapes: %w", err)
	}
	return nil
}

// salmon is the colour of the shapes: as far from the field's as fish is.
var salmon = [3]int{232, 128, 84}

const (
	proofLetter = 3.0 // mm
	printable   = 8.0 // mm from the paper's edge that every printer prints
)

func (p page) filled(outline []r2.Vec) {
	points := make([]fpdf.PointType, len(outline))
	for i, q := range outline {
		points[i] = fpdf.PointType{X: q.X, Y: q.Y}
	}
	p.pdf.Polygon(points, "F")
}
