package weight

import (
	"errors"
	"math"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/uncertainty"
)

// Slice is what a photo tells of a piece.
type Slice struct {
	// Area of the outline, mm², with everything the photo leaves open.
	Area uncertainty.Value
	// Extent of the outline across the direction in which the walls lean, mm:
	// the overall length for walls that lean across the slice.
	Extent float64
	// Lean of the walls.
	Lean Lean
	// ScaleU is the relative standard uncertainty of the mat's print scale that
	// is already part of Area.U; the budget shows it by itself.
	ScaleU float64
}

// Piece is a slice with its number on the tray.
type Piece struct {
	Number int
	Slice
}

// Weighed is the weight of a piece, g, with its budget, the thickness it goes
// with, and the area of its face, mm².
type Weighed struct {
	Number int
	uncertainty.Result
	Thickness Thickness
	Face      float64
	Shared    bool // it rests on what is told of the whole tray, not of this slice
}

// Source is what a kitchen knows of a tray's thickness.
type Source interface {
	// Of is a piece's thickness before anything is measured; false when only
	// Weigh can tell.
	Of(number int) (Thickness, bool)
	// Weigh weighs the measured pieces, leaving out those it knows nothing of.
	Weigh(pieces []Piece, d Density) ([]Weighed, error)
}

// Names of the budget's inputs, as reports show them.
const (
	sourceArea      = "outline"
	sourceScale     = "print scale"
	sourceThickness = "thickness"
	sourceDensity   = "density"
	sourceLean      = "leaning walls"
	sourceReading   = "scale reading"
	sourceOthers    = "thickness against the other slices"
)

// Weigh gives a slice's weight, g: ρ·(face area)·t/1000, the face area being
// the outline's less the strip of wall that leans out. It refuses numbers that
// no slice has, and a wall that would leave no face.
func Weigh(s Slice, t Thickness, d Density) (Weighed, error) {
	if err := s.check(); err != nil {
		return Weighed{}, err
	}
	if err := CheckThickness(t.X); err != nil {
		return Weighed{}, about(phrase.Of("thick-is", t.X), err)
	}
	area, err := s.face(t.X)
	if err != nil {
		return Weighed{}, err
	}
	outline, scale := s.parts()
	r := uncertainty.Propagate(func(x []float64) float64 {
		k := x[1] // a change of print scale stretches both sides of the outline
		return x[3] * face(x[0]*k*k, s.Extent*k, x[2], x[4]) * x[2] / 1000
	},
		uncertainty.Input{Source: sourceArea, Value: outline, Remedy: remedyArea},
		uncertainty.Input{Source: sourceScale, Value: scale, Remedy: remedyScale},
		uncertainty.Input{Source: sourceThickness, Value: t.Value, Remedy: t.Remedy},
		uncertainty.Input{Source: sourceDensity, Value: d.Value, Remedy: d.Remedy},
		uncertainty.Input{Source: sourceLean, Value: s.Lean.Value, Remedy: s.Lean.Remedy})
	return Weighed{Result: r, Thickness: t, Face: area, Shared: t.Shared}, nil
}

// Keys of what shrinks the part of the photo, of the mat and of a scale.
const (
	remedyArea    = "cure-outline"
	remedyScale   = "cure-print-scale"
	remedyReading = "cure-reading"
)

// face is the area of the cut face, mm², behind an outline's area: the outline
// of a convex slice is its face swept by the run of the wall, which adds a
// strip t·cot φ wide along the outline's whole extent across the run (the area
// of the Minkowski sum with a segment).
func face(outline, extent, thickness, cot float64) float64 {
	return outline - extent*thickness*cot
}

// leastFace is the share of the outline that a face has at the least. Our setting.
const leastFace = 0.1

// face is the slice's at a thickness, mm². Walls that leave less than a tenth
// of the outline cannot be.
func (s Slice) face(thickness float64) (float64, error) {
	f := face(s.Area.X, s.Extent, thickness, s.Lean.X)
	if !(f >= leastFace*s.Area.X) {
		return 0, phrase.Wrong("no-face", thickness*s.Lean.X)
	}
	return f, nil
}

// parts splits the area into what the outline leaves open and the print scale
// (1 ± ScaleU), whose share of the area's variance is (2·A·ScaleU)².
func (s Slice) parts() (outline, scale uncertainty.Value) {
	share := math.Min(2*s.Area.X*s.ScaleU, s.Area.U)
	outline = uncertainty.Value{X: s.Area.X, U: math.Sqrt(s.Area.U*s.Area.U - share*share)}
	return outline, uncertainty.Value{X: 1, U: share / (2 * s.Area.X)}
}

// errNoSlice is a mistake of the program, not of the person.
var errNoSlice = errors.New("a slice without area or extent cannot be weighed")

func (s Slice) check() error {
	ok := s.Area.X > 0 && s.Extent > 0 && s.Area.U >= 0 && s.ScaleU >= 0 &&
		!math.IsInf(s.Area.X+s.Extent+s.Area.U+s.ScaleU, 0)
	if !ok {
		return errNoSlice
	}
	return nil
}
