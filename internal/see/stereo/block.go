package stereo

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"netagauge/internal/see/parallax"
)

// What is tried for a block, mm. Its top may slope as no slice's does, and is
// looked at more coarsely: a block is cut to 0.5 mm at best.
const (
	blockLow, blockHigh, blockUsual = 2.0, 46.0, 18.0
	blockStep                       = 0.5
	cellAlong, cellAcross           = 3, 6 // blocks of the sweep to a cell
	bulge                           = 2.0  // how far a top departs from the plane through it
	bulgeReach                      = 6.0
	blockGain                       = 100 // log likelihood, against chance; on rendered pairs above 1000
	cellGain                        = 4   // and of one cell
)

// Block finds how high the top of a block lies: places on the mat, x and y, with
// the height above it, z, wherever the texture tells. along is the block's long
// axis. A plane of any slope is fitted first, then each cell of 15 × 6 mm for
// itself.
func (p Pair) Block(along r2.Vec) ([]r3.Vec, error) {
	a, b := insideOf(p.A, along), insideOf(p.B, along)
	at := func(h float64) patch { // over the top as photo A sees it
		var top []r2.Vec
		for _, q := range p.A.Outline {
			top = append(top, raise(a.eye, q, 0, h))
		}
		return newPatch(top, along, coarsePitch)
	}
	h := p.sweep(at(blockUsual), a, b, blockUsual, steps(blockLow, blockHigh, 2*blockStep)).best(blockUsual, blockHigh)
	g := at(h)
	v := p.sweep(g, a, b, h, steps(blockLow, blockHigh, blockStep))
	f := newFit(v, a, b, h)
	s := f.sloping(h)
	if s.Gain < blockGain {
		return nil, ErrApart
	}
	var out []r3.Vec
	for _, cell := range f.cells() {
		if z, m, ok := f.cellHeight(s, cell); ok {
			q := raise(a.eye, g.at(m.X/g.pitch, m.Y/g.pitch), h, z) // the patch lies at the height h
			out = append(out, r3.Vec{X: q.X, Y: q.Y, Z: z})
		}
	}
	return out, nil
}

// raise moves a point along the eye's ray from one height to another.
func raise(eye parallax.Eye, p r2.Vec, from, to float64) r2.Vec {
	k := (eye.Height - to) / (eye.Height - from)
	return r2.Add(eye.Foot, r2.Scale(k, r2.Sub(p, eye.Foot)))
}

// sloping fits a plane from a coarse grid of heights and slopes on.
func (f *fit) sloping(h float64) Surface {
	gain := func(s Surface) float64 {
		return f.v.likelihood(f.blocks, func(b int) float64 { return f.height(&s, b) })
	}
	var best Surface
	// A block slopes by up to 35° across and 6° along, tried as closely as the climb below catches up with.
	for across := -0.7; across <= 0.7; across += 0.1 {
		for along := -0.1; along <= 0.1; along += 0.05 { // as above
			for at := h - 8; at <= h+8; at++ {
				s := Surface{Height: at, Along: along, Across: across}
				if s.Gain = gain(s); s.Gain > best.Gain {
					best = s
				}
			}
		}
	}
	for step := 1.0; step > 0.02; { // of the moves below: 0.01 mm in the end
		next := best
		// mm of height, and slopes that move a block's end by about as much.
		for _, d := range [...]Surface{{Height: 0.5}, {Height: -0.5}, {Along: 0.02}, {Along: -0.02}, {Across: 0.05}, {Across: -0.05}} {
			s := Surface{Height: best.Height + step*d.Height, Along: best.Along + step*d.Along, Across: best.Across + step*d.Across}
			if s.Gain = gain(s); s.Gain > next.Gain {
				next = s
			}
		}
		if next.Gain == best.Gain {
			step /= 2
		}
		best = next
	}
	return best
}

// cells are groups of neighbouring blocks that lie at least in part inside.
func (f *fit) cells() [][]int {
	at := map[int]int{}
	var out [][]int
	for _, b := range f.blocks {
		key := b/f.v.bx/cellAcross*f.v.bx + b%f.v.bx/cellAlong
		i, ok := at[key]
		if !ok {
			i, at[key] = len(out), len(out)
			out = append(out, nil)
		}
		out[i] = append(out[i], b)
	}
	return out
}

// cellHeight is the mean of the odds of one cell's height, and its middle; ok is
// false where its texture tells nothing.
func (f *fit) cellHeight(s Surface, cell []int) (z float64, middle r2.Vec, ok bool) {
	var area float64
	for _, b := range cell {
		area += f.area[b]
		z += f.area[b] * f.height(&s, b)
		middle = r2.Add(middle, r2.Scale(f.area[b], f.mid[b]))
	}
	if area == 0 {
		return 0, middle, false
	}
	var odds, moved, most float64
	for d := -bulgeReach; d <= bulgeReach; d += blockStep / 4 {
		l := f.v.likelihood(cell, func(b int) float64 { return f.height(&s, b) + d })
		most = math.Max(most, l)
		o := math.Exp(l - d*d/(2*bulge*bulge))
		odds, moved = odds+o, moved+o*d
	}
	return z/area + moved/odds, r2.Scale(1/area, middle), most > cellGain
}
