package stereo

import (
	"math"

	"gonum.org/v1/gonum/optimize"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/stat"
)

// fit holds what the surface is fitted on: the middles of the blocks, and the
// lines of both long edges y = at + slope·x on the patch, mm.
type fit struct {
	v      *volume
	mid    []r2.Vec
	near   float64 // height that the outlines tell, mm; 0 for none
	centre r2.Vec
	edges  [2]line
	area   []float64 // of each block inside the outline, mm²
}

type line struct{ at, slope float64 }

// from is the distance of a place from the line.
func (l line) from(p r2.Vec) float64 {
	return math.Abs(l.above(p.X, p.Y)) / math.Sqrt(1+l.slope*l.slope)
}

func (l line) above(x, y float64) float64 { return y - l.at - l.slope*x }

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
	}
	return f
}

func (f *fit) height(s Surface, block int) float64 {
	m := f.mid[block]
	h := s.Height + s.Along*(m.X-f.centre.X) + s.Across*(m.Y-f.centre.Y)
	if s.Facet.Side != 0 {
		d := f.edges[(s.Facet.Side+1)/2].from(m)
		h -= s.Facet.Drop * math.Max(0, 1-d/s.Facet.Width)
	}
	return h
}

func (f *fit) likelihood(s Surface) float64 {
	a, c, z := s.Along/slopeAlong, s.Across/slopeAcross, 0.0
	if f.near > 0 {
		z = (s.Height - f.near) / edgeTrust
	}
	return f.v.likelihood(func(b int) (float64, bool) { return f.height(s, b), f.area[b] > 0 }) - (a*a+c*c+z*z)/2
}

// plane fits height and slopes.
func (f *fit) plane(h float64) Surface {
	s := f.search([]float64{h, 0, 0}, []float64{0.15, 0.005, 0.01}, func(x []float64) Surface {
		return Surface{Height: x[0], Along: x[1], Across: x[2]}
	})
	return f.done(s)
}

// facet tries a facet on either side, and keeps the best with what it gains.
func (f *fit) facet(s Surface) Surface {
	best, gain := s, 0.0
	var step float64
	for _, side := range []int{-1, 1} {
		for w := facetFrom; w <= facetTo; w += 0.5 {
			for share := leastShare; share <= mostShare; share += 0.1 {
				t := s
				t.Facet = Facet{side, w, share * s.Height}
				g := f.likelihood(t) - s.Gain
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
		s.StepGain = step
		return s
	}
	side := best.Facet.Side
	out := f.search([]float64{best.Height, best.Along, best.Across, best.Facet.Width, best.Facet.Drop}, []float64{0.1, 0.003, 0.01, 0.4, 0.3}, func(x []float64) Surface {
		return Surface{Height: x[0], Along: x[1], Across: x[2], Facet: Facet{side, math.Max(0.5, x[3]), math.Min(math.Max(0, x[4]), mostShare*x[0])}}
	})
	out = f.done(out)
	out.StepGain = step
	out.FacetGain, out.Broken = out.Gain-s.Gain, f.broken(out)
	return out
}

// broken reports whether a facet explains nothing along a sixth of its edge, the
// two ends left out, where slices are cut at a slant.
func (f *fit) broken(s Surface) bool {
	flat := s
	flat.Facet = Facet{}
	const parts = 6
	for q := 1; q+1 < parts; q++ {
		over := func(s Surface) float64 {
			return f.v.likelihood(func(b int) (float64, bool) {
				return f.height(s, b), f.area[b] > 0 && b%f.v.bx*parts/f.v.bx == q
			})
		}
		if over(s) < over(flat) {
			return true
		}
	}
	return false
}

// search is Nelder and Mead's simplex from a start.
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
	r, err := optimize.Minimize(optimize.Problem{Func: cost}, from, &optimize.Settings{FuncEvaluations: 60 * n, Converger: &optimize.FunctionConverge{Absolute: 1e-3, Iterations: 20}},
		&optimize.NelderMead{InitialVertices: simplex, InitialValues: values})
	if r == nil || err != nil && r.X == nil {
		return surface(from)
	}
	return surface(r.X)
}

// done sums up a fitted surface: its mean over the outline, and how sure its
// height is: from the curve of the likelihood, and from how far the heights of
// its quarters, each by itself, lie apart.
func (f *fit) done(s Surface) Surface {
	var sum, area float64
	for b, a := range f.area {
		sum, area = sum+a*f.height(s, b), area+a
	}
	s.Mean = sum / math.Max(area, 1)
	s.Gain = f.likelihood(s)
	const d = 0.1
	up, down := s, s
	up.Height, down.Height = s.Height+d, s.Height-d
	curve := (2*s.Gain - f.likelihood(up) - f.likelihood(down)) / (d * d)
	s.HeightU = math.Max(1/math.Sqrt(math.Max(curve, 0.01)), f.apart(s))
	return s
}

const quarters = 4

// apart is the standard deviation of the mean of the heights of the quarters
// along the slice.
func (f *fit) apart(s Surface) float64 {
	var off []float64
	for q := range quarters {
		best, most := 0.0, 0.0
		for d := -1.0; d <= 1; d += 0.05 {
			l := f.v.likelihood(func(b int) (float64, bool) {
				return f.height(s, b) + d, f.area[b] > 0 && b%f.v.bx*quarters/f.v.bx == q
			})
			if l > most {
				best, most = d, l
			}
		}
		off = append(off, best)
	}
	return stat.StdDev(off, nil) / math.Sqrt(quarters)
}

// straight fits a line by least squares, and once more without what lies farther
// off than twice the rms.
func straight(x, y []float64) line {
	weights := make([]float64, len(x))
	for i := range weights {
		weights[i] = 1
	}
	l := regression(x, y, weights)
	var ss float64
	for i := range x {
		ss += l.above(x[i], y[i]) * l.above(x[i], y[i])
	}
	for i := range x {
		if l.above(x[i], y[i])*l.above(x[i], y[i]) > 4*ss/float64(len(x))+1e-9 {
			weights[i] = 0
		}
	}
	return regression(x, y, weights)
}

func regression(x, y, weights []float64) line {
	if len(x) < 2 {
		return line{}
	}
	at, slope := stat.LinearRegression(x, y, weights, false)
	return line{at, slope}
}
