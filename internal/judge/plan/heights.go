package plan

import (
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"netagauge/internal/core/phrase"
)

const (
	sectionEvery = 20.0 // mm between the sections that are read off a top
	sectionReach = 50.0 // mm to either side, counted less the farther off
	leastPoints  = 8    // for one
)

// HeightsFrom reads a block's height at its near side, middle and far side off
// points of its top, mm on the mat with their height, of which some tell of every
// stretch: at each section two straight lines from side to side, by least squares.
// The block is as FromOutline made it, of whatever height.
func (b Block) HeightsFrom(top []r3.Vec, place Place) ([]HeightAt, error) {
	var out []HeightAt
	for x := sectionEvery / 2; x < b.Length(); x += sectionEvery {
		var rows, z []float64
		for _, p := range top {
			d := r2.Sub(r2.Vec{X: p.X, Y: p.Y}, place.Origin)
			at, y := r2.Dot(d, place.Along), r2.Dot(d, place.Away)
			s := b.Section(at)
			share := (y - s.Near) / s.Width()
			w := math.Sqrt(max(0, 1-math.Abs(at-x)/sectionReach))
			if w == 0 || share < 0 || share > 1 {
				continue
			}
			rows = append(rows, w*max(0, 1-2*share), w*(1-math.Abs(2*share-1)), w*max(0, 2*share-1))
			z = append(z, w*p.Z)
		}
		if len(z) < leastPoints {
			continue
		}
		var h mat.VecDense
		if err := h.SolveVec(mat.NewDense(len(z), 3, rows), mat.NewVecDense(len(z), z)); err != nil {
			continue // all on one side: it says nothing of the other
		}
		out = append(out, HeightAt{x, max(h.AtVec(0), 0), max(h.AtVec(1), 0), max(h.AtVec(2), 0)})
	}
	if len(out) == 0 {
		return nil, phrase.Wrong("block-height-unseen")
	}
	return out, nil
}
