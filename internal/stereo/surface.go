package stereo

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/optimize"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/stat"
)

// Facet is a slope down to one long edge: the koba, or a wall that leans.
type Facet struct {
	Side  int     // -1 or 1 across the long axis; 0 for none
	Width float64 // seen from above, mm
	Drop  float64 // from the face down to the edge, mm
}

// Surface is the top of a slice: a plane over its middle, sloping along and
// across the long axis, and a facet where one is seen.
type Surface struct {
	Height        float64 // over the middle of the outline, mm above the mat
	HeightU       float64 // standard uncertainty of the fit, mm
	Along, Across float64 // slopes, mm per mm
	Extent        r2.Vec  // of the outline along and across, mm
	Facet         Facet
	StepGain      float64 // the same of the best facet that could be a koba
	FacetGain     float64 // by how much the facet explains the photos better, in log likelihood
	Broken        bool    // the facet explains nothing along a part of its edge
	Mean          float64 // over the outline, facet included, mm
	Gain          float64 // by how much this surface explains the photos better than chance
	Run           float64 // of the walls across, as both outlines tell it, mm
	Edge          Edge    // what the two outlines tell by themselves
}

// What is tried.
const (
	lowest, highest       = 0.6, 11.4 // mm: slices and butterflies, generously
	coarsePitch           = 0.5
	coarseStep, fineStep  = 0.4, 0.25
	fineBelow, fineAbove  = 3.0, 1.0
	facetFrom, facetTo    = 1.5, 9.0  // width of a facet, mm
	leastShare, mostShare = 0.15, 1.0 // its drop by the height
	edgeRound             = 0.4       // mm: how far the edge seen lies below the face
	edgeTrust             = 0.5       // mm: how well the outlines alone tell the height
	slopeAlong            = 0.01      // mm per mm: how much a slice's thickness changes
	slopeAcross           = 0.02
)

// ErrApart says that the two outlines cannot be those of one slice that lay
// still.
var ErrApart = errors.New("the two photos do not show the same slice there")

// mostMiss is how far two outlines of a slice that lay still may differ, mm; on
// rendered pairs the worst of 112 was 0.21.
const mostMiss = 0.35

// Surface finds the surface that explains both photos best.
func (p Pair) Surface(along r2.Vec) (Surface, error) {
	a, b := insideOf(p.A, along), insideOf(p.B, along)
	edge, ok := EdgeOf(p.A.Outline, p.B.Outline, p.A.eye(), p.B.eye(), along)
	if !ok || edge.MissMM > mostMiss {
		return Surface{}, ErrApart
	}
	coarse := newPatch(p.A.Outline, along, coarsePitch)
	from, to := math.Max(lowest, edge.Height-2), math.Min(highest, edge.Height+3)
	rough := p.sweep(coarse, a, b, edge.Height+edgeRound, steps(from, to, coarseStep))
	h := rough.best(edge.Height + edgeRound)
	h = newFit(rough, a, b, h).plane(h).Height
	fine := newPatch(p.A.Outline, along, finePitch)
	v := p.sweep(fine, a, b, h, steps(math.Max(0.1, h-fineBelow), h+fineAbove, fineStep))
	f := newFit(v, a, b, h)
	f.near = edge.Height + edgeRound
	s := f.plane(h)
	s = f.facet(s)
	s.Run = edge.run(s.Height-edgeRound, fine.across)
	s.Edge, s.Extent = edge, r2.Vec{X: float64(fine.nx) * fine.pitch, Y: float64(fine.ny) * fine.pitch}
	return s, nil
}

func steps(from, to, step float64) []float64 {
	var out []float64
	for h := from; h <= to; h += step {
		out = append(out, h)
	}
	return out
}

// best is the height of the flat surface that explains the photos best, given
// about where it should lie.
func (v *volume) best(near float64) float64 {
	best, most := near, math.Inf(-1)
	for _, h := range v.heights {
		z := (h - near) / edgeTrust
		if l := v.likelihood(func(int) (float64, bool) { return h, true }) - z*z/2; l > most {
			best, most = h, l
		}
	}
	return best
}

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
	return math.Abs(p.Y-l.at-l.slope*p.X) / math.Sqrt(1+l.slope*l.slope)
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

// broken reports whether a facet explains nothing along a quarter of its edge,
// the two ends left out, where slices are cut at a slant.
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

// straight fits y = at + slope·x by least squares, twice: the second time
// without what lies farther off than twice the rms.
func straight(x, y []float64) line {
	keep := make([]bool, len(x))
	for i := range keep {
		keep[i] = true
	}
	var l line
	for range 3 {
		var n, sx, sy, sxx, sxy float64
		for i := range x {
			if keep[i] {
				n, sx, sy, sxx, sxy = n+1, sx+x[i], sy+y[i], sxx+x[i]*x[i], sxy+x[i]*y[i]
			}
		}
		if d := n*sxx - sx*sx; d > 0 {
			l.slope = (n*sxy - sx*sy) / d
		}
		l.at = (sy - l.slope*sx) / math.Max(n, 1)
		var ss float64
		for i := range x {
			d := y[i] - l.at - l.slope*x[i]
			ss += d * d
		}
		rms := math.Sqrt(ss / math.Max(float64(len(x)), 1))
		for i := range x {
			keep[i] = math.Abs(y[i]-l.at-l.slope*x[i]) <= 2*rms+1e-9
		}
	}
	return l
}
