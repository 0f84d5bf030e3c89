package stereo

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// Relief is the height of a slice's top on a grid of square-ish cells, mm above
// the mat: the first cell's centre, the steps along and across the slice, and
// the heights row by row, rows running along; NaN outside the slice.
type Relief struct {
	First, Along, Across r2.Vec
	Cols, Rows           int
	Height               []float64
}

// How the relief is read. Chosen on rendered pairs.
const (
	reliefBlocks = 4    // blocks of blockAcross to a cell
	reliefU      = 0.15 // mm: how far flesh departs from the fitted surface
	reliefReach  = 0.5  // mm
	reliefStep   = 0.05
	leastCell    = 0.25 // share of a cell that lies inside the outline
)

// relief is the fitted surface, moved cell by cell towards what the texture there
// tells: the mean of the odds of its height, with reliefU known beforehand.
func (f *fit) relief(s Surface) Relief {
	v := f.v
	rows := (v.by + reliefBlocks - 1) / reliefBlocks
	r := Relief{Cols: v.bx, Rows: rows, Height: make([]float64, v.bx*rows)}
	at := func(col, row float64) r2.Vec {
		return v.patch.at(col*blockAlong/v.patch.pitch, row*reliefBlocks*blockAcross/v.patch.pitch)
	}
	r.First = at(0.5, 0.5)
	// Middles of the next cells.
	r.Along, r.Across = r2.Sub(at(1.5, 0.5), r.First), r2.Sub(at(0.5, 1.5), r.First)
	cells := make([][]int, len(r.Height))
	for _, b := range f.blocks {
		c := b/v.bx/reliefBlocks*v.bx + b%v.bx
		cells[c] = append(cells[c], b)
	}
	for c, blocks := range cells {
		r.Height[c] = f.overBlocks(s, blocks)
	}
	return r
}

// overBlocks is the mean height over the blocks of one cell, NaN where too little of it
// lies on the slice.
func (f *fit) overBlocks(s Surface, blocks []int) float64 {
	var area, sum float64
	for _, b := range blocks {
		area, sum = area+f.area[b], sum+f.area[b]*f.height(&s, b)
	}
	if area < leastCell*blockAlong*blockAcross*reliefBlocks {
		return math.NaN()
	}
	var odds, moved float64
	for d := -reliefReach; d <= reliefReach; d += reliefStep {
		z := d / reliefU
		o := math.Exp(f.v.likelihood(blocks, func(b int) float64 { return f.height(&s, b) + d }) - z*z/2)
		odds, moved = odds+o, moved+o*d
	}
	return sum/area + moved/odds
}
