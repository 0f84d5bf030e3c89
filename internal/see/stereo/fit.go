package stereo

import (
	"math"

	"gonum.org/v1/gonum/optimize"
	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/see/vision"
)

// fit holds what the surface is fitted on: the middles of the blocks, and the
// lines of both long edges y = at + slope·x on the patch, mm.
type fit struct {
	v      *volume
	mid    []r2.Vec
	near   float64 // height that the outlines tell, mm; 0 for none
	nearU  float64 // its standard uncertainty, mm
	centre r2.Vec
	edges  [2]line
	area   []float64 // of each block inside the outline, mm²
	blocks []int     // those that lie at least in part inside
}

func newFit(v *volume, a, b inside, h float64) *fit {
	f := &fit{v: v, mid: make([]r2.Vec, v.bx*v.by), area: make([]float64, v.bx*v.by)}
	g := v.patch
	nx, ny := int(math.Round(blockAlong/g.pitch)), int(math.Round(blockAcross/g.pitch))
	var x, top, bottom []float64
	var sum float64
	in := make([]bool, g.nx*g.ny)
	mask(g, a, b, h, depthPitch/2, in)
	for col := 0; col < g.nx; col += 2 {
		lo, hi := -1, -1
		for row := range g.ny {
			if !in[row*g.nx+col] {
				continue
			}
			if lo < 0 {
				lo = row
			}
			hi = row
			f.area[row/ny*v.bx+col/nx] += 2 * g.pitch * g.pitch
			f.centre = r2.Add(f.centre, r2.Vec{X: float64(col) * g.pitch, Y: float64(row) * g.pitch})
			sum++
		}
		if lo >= 0 && col > g.nx/5 && col < g.nx*4/5 {
			x, top, bottom = append(x, float64(col)*g.pitch), append(top, float64(lo)*g.pitch), append(bottom, float64(hi)*g.pitch)
		}
	}
	f.centre = r2.Scale(1/math.Max(1, sum), f.centre)
	f.edges = [2]line{straight(x, top), straight(x, bottom)}
	for i := range f.mid {
		f.mid[i] = v.middle(i)
		if f.area[i] > 0 {
			f.blocks = append(f.blocks, i)
		}
	}
	return f
}

func (f *fit) height(s *Surface, block int) float64 { return f.over(s, f.mid[block]) }

// over is the height over a place of the patch.
func (f *fit) over(s *Surface, m r2.Vec) float64 {
	h := s.Height + s.Along*(m.X-f.centre.X) + s.Across*(m.Y-f.centre.Y)
	if s.Facet.Side != 0 {
		if d := f.edges[(s.Facet.Side+1)/2].from(m); d < s.Facet.Width {
			h -= s.Facet.Drop * (1 - d/s.Facet.Width)
		}
	}
	return h
}

func (f *fit) likelihood(s Surface) float64 {
	return f.v.likelihood(f.blocks, func(b int) float64 { return f.height(&s, b) }) - f.unlikely(s)
}

// unlikely is by how much a surface is less likely than the usual before it is seen.
func (f *fit) unlikely(s Surface) float64 {
	a, c, z := s.Along/slopeAlong, s.Across/slopeAcross, 0.0
	if f.near > 0 {
		z = (s.Height - f.near) / f.nearU
	}
	return (a*a + c*c + z*z) / 2
}

// plane fits height and slopes.
func (f *fit) plane(h float64) Surface {
	// First moves: mm of height, and slopes that lift a slice's ends by about as much.
	return f.search([]float64{h, 0, 0}, []float64{0.15, 0.005, 0.01}, func(x []float64) Surface {
		return Surface{Height: x[0], Along: x[1], Across: x[2]}
	})
}

// facet tries a facet on either side, and keeps the best with what it gains.
func (f *fit) facet(s Surface) Surface {
	best, gain := s, 0.0
	var step float64
	flat := f.flat(s)
	for _, side := range []int{-1, 1} {
		for w := facetFrom; w <= facetTo; w += 0.5 {
			near, rest := f.flank(side, w, flat)
			for share := leastShare; share <= mostShare; share += 0.1 { // rough; search goes on from the best
				t := s
				t.Facet = Facet{side, w, share * s.Height}
				g := f.v.evidence(f.v.total(rest, near, func(b int) float64 { return f.height(&t, b) })) - f.unlikely(t) - s.Gain
				if g > gain {
					best, gain = t, g
				}
				if g > step && share > kobaFrom && share < kobaTo && w >= narrowKoba {
					step = g
				}
			}
		}
	}
	if best.Facet.Side == 0 {
		s.KobaGain = step
		return s
	}
	side := best.Facet.Side
	// First moves, as in plane; mm for the facet's width and drop.
	out := f.search([]float64{best.Height, best.Along, best.Across, best.Facet.Width, best.Facet.Drop}, []float64{0.1, 0.003, 0.01, 0.4, 0.3}, func(x []float64) Surface {
		return Surface{Height: x[0], Along: x[1], Across: x[2], Facet: Facet{side, math.Max(0.5, x[3]), math.Min(math.Max(0, x[4]), mostShare*x[0])}}
	})
	out.KobaGain = step
	out.FacetGain, out.Broken = out.Gain-s.Gain, f.broken(out)
	return out
}

// flat are the sums of each block for a surface.
func (f *fit) flat(s Surface) []vision.Banded {
	out := make([]vision.Banded, len(f.blocks))
	for i := range f.blocks {
		out[i] = f.v.total(vision.Banded{}, f.blocks[i:i+1], func(b int) float64 { return f.height(&s, b) })
	}
	return out
}

// flank are the blocks that a facet changes, and the sums of all others.
func (f *fit) flank(side int, width float64, flat []vision.Banded) (near []int, rest vision.Banded) {
	for i, b := range f.blocks {
		if f.edges[(side+1)/2].from(f.mid[b]) < width {
			near = append(near, b)
			continue
		}
		rest.Add(&flat[i])
	}
	return near, rest
}

// sides are the heights of both long edges, mm, if there is no koba: the plane's,
// less the rounding.
func (f *fit) sides(s Surface) (upper [2]float64) {
	for k, l := range f.edges {
		y := l.at + l.slope*f.centre.X
		upper[k] = s.Height + s.Across*(y-f.centre.Y) - edgeRound
	}
	return upper
}

// stepped is the surface with the koba that the outlines tell, on their side and
// as deep; only its width is left to the texture.
func (f *fit) stepped(s Surface, step Step) Surface {
	try := func(height, along, across, width float64) Surface {
		return Surface{Height: height, Along: along, Across: across, Facet: Facet{step.Side, math.Min(math.Max(facetFrom, width), facetTo), step.Drop}}
	}
	width, most := facetFrom, math.Inf(-1)
	for w := facetFrom; w <= facetTo; w += 0.5 {
		if l := f.likelihood(try(s.Height, s.Along, s.Across, w)); l > most {
			width, most = w, l
		}
	}
	// First moves, as in facet.
	out := f.search([]float64{s.Height, s.Along, s.Across, width}, []float64{0.1, 0.003, 0.01, 0.4}, func(x []float64) Surface {
		return try(x[0], x[1], x[2], x[3])
	})
	out.FacetGain, out.Broken = out.Gain-s.Gain, f.broken(out)
	return out
}

// broken reports whether a facet explains nothing along a sixth of its edge, the
// two ends left out, where slices are cut at a slant.
func (f *fit) broken(s Surface) bool {
	flat := s
	flat.Facet = Facet{}
	parts := f.along(6)
	for _, part := range parts[1 : len(parts)-1] {
		over := func(s Surface) float64 {
			return f.v.likelihood(part, func(b int) float64 { return f.height(&s, b) })
		}
		if over(s) < over(flat) {
			return true
		}
	}
	return false
}

// along parts the blocks into so many lengths of the slice.
func (f *fit) along(parts int) [][]int {
	out := make([][]int, parts)
	for _, b := range f.blocks {
		q := b % f.v.bx * parts / f.v.bx
		out[q] = append(out[q], b)
	}
	return out
}

// search is Nelder and Mead's simplex from a start, to a surface and what it gains.
func (f *fit) search(from, size []float64, surface func([]float64) Surface) Surface {
	n := len(from)
	simplex := make([][]float64, n+1)
	values := make([]float64, n+1)
	cost := func(x []float64) float64 { return -f.likelihood(surface(x)) }
	for i := range simplex {
		simplex[i] = append([]float64(nil), from...)
		if i > 0 {
			simplex[i][i-1] += size[i-1]
		}
		values[i] = cost(simplex[i])
	}
	// A thousandth of a log likelihood is nothing next to the 1 that makes an interval.
	r, err := optimize.Minimize(optimize.Problem{Func: cost}, from, &optimize.Settings{FuncEvaluations: 60 * n, Converger: &optimize.FunctionConverge{Absolute: 1e-3, Iterations: 20}},
		&optimize.NelderMead{InitialVertices: simplex, InitialValues: values})
	if r == nil || err != nil && r.X == nil {
		r = &optimize.Result{Location: optimize.Location{X: from}}
	}
	s := surface(r.X)
	s.Gain = f.likelihood(s)
	return s
}
