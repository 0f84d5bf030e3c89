package acceptance

import (
	"math"
	"time"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/rank"
	"netagauge/internal/core/uncertainty"
	"netagauge/internal/see/shape"
)

// Limits are the largest errors that an installation may have: of a length, mm,
// and of an area, as a share.
type Limits struct{ Length, Area float64 }

// Usual limits, our setting: what design first asked of lengths on 95 of 100
// slices is 1.0 mm; flat shapes are easier than fish.
var Usual = Limits{Length: 0.5, Area: 0.015}

// Photographed is what one photo shows of a sheet: outlines in true mm by the bank
// card in it, and how well the card tells the scale (k = 2).
type Photographed struct {
	Photo, Phone, Mat string
	Taken             time.Time // zero when the photo does not say
	Outlines          []shape.Outline
	Card              float64 // the mat's print against its layout, 1 when true
	CardU             float64
}

// Row is one shape, measured.
type Row struct {
	Shape
	Seen shape.Size
}

// Long reports whether the length is judged. A triangle's is the chord half way up,
// which hangs on how sharp its tip is printed and seen; only its area counts.
func (r Row) Long() bool { return r.Kind != triangular }

// LengthError and AreaError are measured less true, the latter as a share.
func (r Row) LengthError() float64 { return r.Seen.Length - r.Length }
func (r Row) AreaError() float64   { return r.Seen.Area/r.Area - 1 }

// Certificate is what a photo says of an installation.
type Certificate struct {
	Photographed
	Limits
	Rows   []Row
	Bar    float64 // the sheet's 100 mm bar by a ruler, mm; 0 when nobody measured it
	Sheet  float64 // how large the shapes are by the card, against their drawing
	Length float64 // the largest error of a length, mm
	Area   float64 // and of an area, as a share
}

// near is how far a shape may lie from its place, mm: the sheet is laid by hand.
// Shapes lie 40 mm apart.
const near = 15.0

// sheetOff is from when on a common scale of all shapes is the sheet's print and
// not the program's error: what is said of a mat's print begins there too.
const sheetOff = 0.006

// Certify compares the shapes of a sheet with what a photo shows. bar is what a
// ruler shows for the sheet's bar of 100 mm, 0 for a sheet taken as true. It errs
// when a shape was not seen.
func Certify(s Sheet, p Photographed, bar float64, limits Limits) (Certificate, error) {
	c := Certificate{Photographed: p, Limits: limits, Bar: bar}
	var ratios []float64
	for i, want := range s.Shapes {
		if bar > 0 {
			want.Size = scaled(want.Size, bar/100)
		}
		o := nearest(p.Outlines, want.Outline.Centroid())
		if o == nil {
			return c, phrase.Wrong("proof-missing", float64(i+1), float64(len(s.Shapes)))
		}
		seen, err := shape.MeasureSize(o)
		if err != nil {
			return c, err
		}
		r := Row{want, seen}
		c.Rows = append(c.Rows, r)
		if r.Long() {
			c.Length = math.Max(c.Length, math.Abs(r.LengthError()))
		}
		c.Area = math.Max(c.Area, math.Abs(r.AreaError()))
		ratios = append(ratios, math.Sqrt(seen.Area/want.Area))
	}
	if len(ratios) > 0 {
		c.Sheet = rank.Median(ratios)
	}
	return c, nil
}

func scaled(z shape.Size, k float64) shape.Size {
	return shape.Size{Length: k * z.Length, Width: k * z.Width, Area: k * k * z.Area}
}

func nearest(all []shape.Outline, at r2.Vec) shape.Outline {
	var best shape.Outline
	least := near
	for _, o := range all {
		if d := r2.Norm(r2.Sub(o.Centroid(), at)); d < least {
			best, least = o, d
		}
	}
	return best
}

// Passed reports whether every error is within its limit.
func (c Certificate) Passed() bool { return c.Length <= c.Limits.Length && c.Area <= c.Limits.Area }

// SheetOff reports whether all shapes are too large or too small alike, by more
// than the card leaves open: then the sheet was not printed true.
func (c Certificate) SheetOff() bool {
	return math.Abs(c.Sheet-1) > math.Max(sheetOff, uncertainty.Combine(c.CardU))
}

// Verdict is the outcome in a sentence, and what to do where it failed.
func (c Certificate) Verdict() phrase.Text {
	n := []float64{c.Length, 100 * c.Area, c.Limits.Length, 100 * c.Limits.Area}
	switch {
	case c.Passed():
		return phrase.Of("proof-passed", n...)
	case c.SheetOff():
		return phrase.Of("proof-failed", n...).And(phrase.Of("proof-sheet-off", 100*c.Sheet))
	}
	return phrase.Of("proof-failed", n...).And(phrase.Of("proof-again"))
}
