// Package acceptance holds a whole installation, phone, mat, printer and program,
// against printed shapes whose sizes are known. It has the sheet of shapes, and
// tells from what a photo measured of them how far the installation errs. Lengths
// are in mm, areas in mm², coordinates in the mat frame. It sees no photo and draws
// nothing.
package acceptance

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/see/mat"
	"netagauge/internal/see/shape"
)

// Sheet is what is printed for one mat: the shapes lie in a piece of the field's
// own colour, which is cut out and laid over the field. Shapes stay on the sheet.
type Sheet struct {
	Layout mat.Layout
	Cut    r2.Box // as the field, and a little more
	Shapes []Shape
	Card   r2.Box // left free for a bank card
}

// Shape is one printed shape with its measures as design defines them.
type Shape struct {
	Kind    string // the key of its name
	Outline shape.Outline
	shape.Size
}

// overlap is how far the sheet reaches over the field on each side.
const overlap = 2.0

// drawnAs is a shape of the sheet, about the middle of the field: 5 to 40 cm², long
// and compact, upright and slanted, as slices are. The same for every mat.
type drawnAs struct {
	kind    string
	at      r2.Vec
	outline []r2.Vec
}

const triangular = "proof-triangle"

func shapes() []drawnAs {
	return []drawnAs{ // places on the mat, mm: as far apart as pieces must lie
		{"proof-rectangle", r2.Vec{X: -60, Y: -50}, slanted(80, 35, 0)},
		{"proof-slanted", r2.Vec{X: -60, Y: 5}, slanted(76, 52, 14)},
		{"proof-ellipse", r2.Vec{X: -60, Y: 53}, ellipse(56, 26)},
		{"proof-ellipse", r2.Vec{X: 22, Y: -46}, ellipse(56, 42)},
		{triangular, r2.Vec{X: 80, Y: -52.7}, triangle(46, 40)}, // by the middle of its area
		{"proof-rectangle", r2.Vec{X: 18, Y: -4}, slanted(60, 20, 0)},
		{"proof-slanted", r2.Vec{X: 84, Y: -4}, slanted(32, 16, 8)},
	}
}

// SheetFor is the sheet of a mat.
func SheetFor(l mat.Layout) (Sheet, error) {
	middle := r2.Scale(0.5, r2.Add(l.Field.Min, l.Field.Max))
	more := r2.Vec{X: overlap, Y: overlap}
	s := Sheet{Layout: l, Cut: r2.Box{Min: r2.Sub(l.Field.Min, more), Max: r2.Add(l.Field.Max, more)}}
	card := r2.Add(middle, r2.Vec{X: 50, Y: 42})
	half := r2.Vec{X: 43.5, Y: 27.5} // of a card of 85.60 × 53.98 mm (ISO/IEC 7810, ID-1), with 0.5 mm and more of room
	s.Card = r2.Box{Min: r2.Sub(card, half), Max: r2.Add(card, half)}
	for _, d := range shapes() {
		o := make(shape.Outline, len(d.outline))
		for i, p := range d.outline {
			o[i] = r2.Add(p, r2.Add(middle, d.at))
		}
		size, err := shape.MeasureSize(o)
		if err != nil {
			return s, err
		}
		s.Shapes = append(s.Shapes, Shape{d.kind, o, size})
	}
	return s, nil
}

// slanted is a parallelogram: two sides of a length, so far apart, shifted against
// each other.
func slanted(length, width, shift float64) []r2.Vec {
	l, w, s := length/2, width/2, shift/2
	return []r2.Vec{{X: -l - s, Y: -w}, {X: l - s, Y: -w}, {X: l + s, Y: w}, {X: -l + s, Y: w}}
}

// triangle stands on a side, its third corner over the middle of it.
func triangle(side, height float64) []r2.Vec {
	return []r2.Vec{{X: -side / 2, Y: -height / 3}, {X: side / 2, Y: -height / 3}, {Y: 2 * height / 3}}
}

// ellipse by its axes, drawn with so many corners that none is seen: the chords
// lie 0.003 mm inside the largest.
func ellipse(length, width float64) []r2.Vec {
	const corners = 240
	out := make([]r2.Vec, corners)
	for i := range out {
		s, c := math.Sincos(2 * math.Pi * float64(i) / corners)
		out[i] = r2.Vec{X: length / 2 * c, Y: width / 2 * s}
	}
	return out
}
