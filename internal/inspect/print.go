package inspect

import (
	"fmt"
	"image"
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/mat"
	"netagauge/internal/parallax"
	"netagauge/internal/report"
	"netagauge/internal/segment"
	"netagauge/internal/shape"
)

// Size of an ID-1 card, ISO/IEC 7810, mm.
const cardLength, cardWidth, cardThick = 85.60, 53.98, 0.76

// printScale is the print's size against its layout, with its relative
// standard uncertainty.
type printScale struct {
	value, u float64
	from     string // what shows it; empty when the print is taken as true
	byCard   bool
}

// What tells the print's scale, k = 1, relative.
const (
	// printU is a print that nobody has verified: rectangular within ±0.2 %, our
	// assumption for a printer told not to fit the page.
	printU = 0.002 / 1.7320508
	// paperU is a sheet's own size: ±2 mm on 420 mm taken as rectangular (ISO
	// 216, from memory).
	paperU = 0.0028
	// cardU is a card's own size, ±0.13 mm on 85.60 mm (ISO/IEC 7810, from
	// memory), and how well its edges are seen.
	cardU = 0.0015
	// shrunk is how far a print must be off before the paper's edge is believed,
	// and told is how far before the person is told.
	shrunk, told = 0.01, 0.006
)

// Print is what a check found of the print's scale, with its expanded relative
// uncertainty (k = 2).
type Print struct {
	Scale, U float64
	ByCard   bool
}

// MatKey names one printed mat: by its label, else by its size.
func MatKey(m report.Mat) string {
	if m.Label != "" {
		return m.Name + " " + m.Label
	}
	return m.Name
}

// printOf takes the print's scale from what is surest: a card lying on the
// tray, as verified before, the edge of the sheet.
func printOf(in Input, m report.Mat, f mat.Found, luma *image.Gray, seen segment.Result) printScale {
	for _, p := range seen.Pieces {
		if s, ok := cardScale(p, f); ok {
			return printScale{s, cardU, "by the card on the tray", true}
		}
	}
	if r, ok := in.Prints.Find(MatKey(m)); ok {
		return printScale{r.Scale, r.Value().U, "as verified on " + r.Day, false}
	}
	if s, ok := f.PaperScale(luma); ok && math.Abs(s-1) > shrunk {
		return printScale{s, paperU, "by the edge of the paper", false}
	}
	return printScale{1, printU, "", false}
}

// cardScale is the scale at which a piece is an ID-1 card. A card is known by
// the proportion of its sides and by filling its rectangle: rounded corners
// take 0.2 % of it.
func cardScale(p segment.Piece, f mat.Found) (float64, bool) {
	if p.CutOff || p.Solidity < 0.98 {
		return 0, false
	}
	e := f.Camera.Eye()
	above, err := parallax.Above(p.Outline, parallax.Eye{Foot: r2.Vec{X: e.X, Y: e.Y}, Height: -e.Z}, parallax.Slice{Edge: cardThick})
	if err != nil {
		return 0, false
	}
	m, err := shape.Measure(above.Whole)
	if err != nil || m.Area < 0.975*m.OverallLength*m.OverallWidth {
		return 0, false
	}
	l, w := cardLength/m.Length, cardWidth/m.Width
	if math.Abs(l/w-1) > 0.015 || math.Abs(l-1) > 0.08 {
		return 0, false
	}
	return (l*m.Length + w*m.Width) / (m.Length + m.Width), true
}

// problem tells the person about a print that is off.
func (s printScale) problem() (report.Problem, bool) {
	if s.from == "" || math.Abs(s.value-1) < told {
		return report.Problem{}, false
	}
	return report.Problem{
		Code:    "print-scale",
		Message: fmt.Sprintf("the mat is printed at %.1f %%, %s; every measure is corrected for it", 100*s.value, s.from),
		Remedy:  "print the mat at 100 %, without fitting it to the page",
	}, true
}

// scaled brings what was seen on the layout to true mm.
func (s printScale) scaled(seen segment.Result) segment.Result {
	if s.value == 1 {
		return seen
	}
	for i := range seen.Pieces {
		p := &seen.Pieces[i]
		for k, q := range p.Outline {
			p.Outline[k] = r2.Scale(s.value, q)
		}
		for k := range p.Walls {
			p.Walls[k].Mid = r2.Scale(s.value, p.Walls[k].Mid)
		}
	}
	return seen
}
