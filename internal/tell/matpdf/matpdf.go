// Package matpdf draws the printed mat as a vector PDF, in exact millimetres of
// the mat frame (origin at the paper's top-left corner, x right, y down), from
// the same layout that finds the mat in a photo. It decides nothing of the
// layout.
package matpdf

import (
	"fmt"
	"io"
	"strings"
	"time"

	"codeberg.org/go-pdf/fpdf"

	"netagauge/internal/core/phrase"
	"netagauge/internal/see/mat"
	"netagauge/internal/tell/letters"
)

// drawn is the fixed date in every file, so that the same mat is the same bytes.
var drawn = time.Date(2026, time.January, 1, 0, 0, 0, 0, time.UTC)

// Write writes the mat once for each label, or once without any, and a last page
// that explains in words how to print and use it.
func Write(w io.Writer, l mat.Layout, labels []string, say *phrase.Language) error {
	p := newPage(l, say)
	if len(labels) == 0 {
		p.mat()
	}
	for _, text := range labels {
		p.mat()
		if err := p.label(text); err != nil {
			return err
		}
	}
	p.instructions()
	if err := p.pdf.Output(w); err != nil {
		return fmt.Errorf("draw the mat: %w", err)
	}
	return nil
}

// page draws one document for one layout; every length is in mm.
type page struct {
	pdf *letters.Pen
	l   mat.Layout
	say *phrase.Language
}

func newPage(l mat.Layout, say *phrase.Language) page {
	pdf := fpdf.NewCustom(&fpdf.InitType{
		OrientationStr: "L", UnitStr: "mm", Size: fpdf.SizeType{Wd: l.Paper.Y, Ht: l.Paper.X},
	})
	pdf.SetCatalogSort(true)
	pdf.SetCreationDate(drawn)
	pdf.SetModificationDate(drawn)
	pdf.SetTitle(say.Word("sheet-title", paperName(l)), true)
	pdf.SetLang(say.Tag())
	pdf.SetMargins(0, 0, 0)
	pdf.SetAutoPageBreak(false, 0)
	pdf.SetCellMargin(0)
	return page{letters.NewPen(pdf), l, say}
}

// paperName writes a layout's name as on a packet of paper.
func paperName(l mat.Layout) string {
	size, _, _ := strings.Cut(l.Name, "-")
	return strings.ToUpper(size[:1]) + size[1:]
}
