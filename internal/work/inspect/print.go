package inspect

import (
	"image"
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/core/uncertainty"
	"netagauge/internal/see/mat"
	"netagauge/internal/see/parallax"
	"netagauge/internal/see/printscale"
	"netagauge/internal/see/segment"
	"netagauge/internal/see/shape"
)

// printScale is the print's size against its layout, with its relative
// standard uncertainty.
type printScale struct {
	value, u float64
	from     string // the key of what shows it; empty when the print is taken as true
	day      string // of a verified one
	byCard   bool
}

// What tells the print's scale, k = 1, relative.
const (
	// printU is a print that nobody has verified: rectangular within ±0.2 %, our
	// assumption for a printer told not to fit the page.
	printU = 0.002 / 1.7320508
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
func MatKey(m piece.Mat) string {
	if m.Label != "" {
		return m.Name + " " + m.Label
	}
	return m.Name
}

// printOf takes the print's scale from what is surest: a card lying on the
// tray, as verified before, the edge of the sheet.
func printOf(in job, m piece.Mat, f mat.Found, luma *image.Gray, seen segment.Result) printScale {
	for _, p := range seen.Pieces {
		if s, ok := cardScale(p, f); ok {
			return printScale{value: s.X, u: s.U, from: "print-by-card", byCard: true}
		}
	}
	if r, ok := (printscale.Store{Prints: in.Prints}).Find(MatKey(m)); ok {
		return printScale{value: r.Scale, u: r.Value().U, from: "print-verified", day: r.Day}
	}
	if s, ok := f.PaperScale(luma); ok && math.Abs(s-1) > shrunk {
		return printScale{value: s, u: printscale.PaperU, from: "print-by-paper"}
	}
	return printScale{value: 1, u: printU}
}

// cardScale is the scale at which a piece is a bank card.
func cardScale(p segment.Piece, f mat.Found) (uncertainty.Value, bool) {
	// A card is convex: it fills its hull but for the edge's noise.
	if p.CutOff || p.Solidity < 0.98 {
		return uncertainty.Value{}, false
	}
	card := printscale.Card()
	e := f.Camera.Eye()
	above, err := parallax.Above([]parallax.View{{Outline: p.Outline, Eye: parallax.Eye{Foot: r2.Vec{X: e.X, Y: e.Y}, Height: -e.Z}}}, parallax.Upright(card.Height))
	if err != nil {
		return uncertainty.Value{}, false
	}
	m, err := shape.Measure(above.Whole)
	if err != nil || !printscale.IsCard(m.OverallLength, m.OverallWidth, m.Area) {
		return uncertainty.Value{}, false
	}
	u := math.Hypot(math.Sqrt2*edgeU, f.Residual) // two edges, and where the mat lies under them
	scale, err := printscale.Of(card, printscale.Seen{Length: uncertainty.Value{X: m.Length, U: u}, Width: uncertainty.Value{X: m.Width, U: u}})
	return scale, err == nil
}

// problem tells the person about a print that is off.
func (s printScale) problem() (piece.Problem, bool) {
	if s.from == "" || math.Abs(s.value-1) < told {
		return piece.Problem{}, false
	}
	return piece.NewProblem("print-scale", phrase.Named("p-print", s.from, s.day).With(100*s.value), phrase.Of("r-print-scale")), true
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
