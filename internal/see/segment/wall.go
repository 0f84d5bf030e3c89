package segment

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// Wall is what is seen along one long side of a piece: light changes where the
// cut face ends and the wall, or the facet of the koba, begins.
type Wall struct {
	Normal r2.Vec // outward, along the mat
	Mid    r2.Vec // the middle of the side, on the mat plane, mm
	// Change tells how strongly the light changes at each depth inside the
	// outline, in standard deviations of the pattern on either side; the depth
	// of sample i is WallFrom + i·WallStep, mm on the mat plane. Nil where the
	// side could not be looked at.
	Change []float64
}

// Profiles across a long side start a little inside the outline, past the
// blur of the edge, and reach as far as the widest wall.
const (
	WallFrom    = 0.25
	wallTo      = WallFrom + (wallSamples-1)*WallStep // 11.85
	WallStep    = 0.2
	wallSamples = 59 // about 12 mm
	wallGap     = 2  // samples: half the breadth of a rounded upper edge
	wallAhead   = 20 // samples of face compared with the wall
	wallColour  = 0.22
	wallSpan    = 0.55 // share of the side looked at, away from the ends
)

// walls looks along both long sides of an outline.
func (t *tracer) walls(outline []r2.Vec) [2]Wall {
	along := longAxis(outline)
	across := r2.Vec{X: -along.Y, Y: along.X}
	var out [2]Wall
	for i, n := range [2]r2.Vec{across, r2.Scale(-1, across)} {
		out[i] = t.wall(outline, along, n)
	}
	return out
}

func (t *tracer) wall(outline []r2.Vec, along, n r2.Vec) Wall {
	c := middle(outline)
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, p := range outline {
		u := r2.Dot(r2.Sub(p, c), along)
		lo, hi = math.Min(lo, u), math.Max(hi, u)
	}
	w := Wall{Normal: n}
	var profiles []profile
	mid, half := (lo+hi)/2, wallSpan*(hi-lo)/2
	for u := mid - half; u <= mid+half; u++ {
		e, ok := reach(outline, c, along, n, u)
		if !ok {
			continue
		}
		p := r2.Add(c, r2.Add(r2.Scale(u, along), r2.Scale(e, n)))
		if v, ok := t.inwardFrom(p, n); ok {
			profiles = append(profiles, v)
		}
		w.Mid = r2.Add(w.Mid, p)
	}
	if len(profiles) < 10 {
		return w
	}
	w.Mid = r2.Scale(1/float64(len(profiles)), w.Mid)
	p := medianProfile(profiles)
	w.Change = p.changes()
	return w
}

// reach is how far the outline extends along n at the place u along the axis.
func reach(outline []r2.Vec, c, along, n r2.Vec, u float64) (float64, bool) {
	best, ok := math.Inf(-1), false
	for _, p := range outline {
		d := r2.Sub(p, c)
		if math.Abs(r2.Dot(d, along)-u) < 0.6 {
			best, ok = math.Max(best, r2.Dot(d, n)), true
		}
	}
	return best, ok && best > 0
}

// profile is what is seen going inward from the outline: the log of brightness
// and the colour differences by brightness.
type profile struct{ light, b, r [wallSamples]float64 }

// inwardFrom samples from p against the outward normal.
func (t *tracer) inwardFrom(p, n r2.Vec) (profile, bool) {
	a, b := t.cam.Project(r2.Sub(p, r2.Scale(WallFrom, n)), 0), t.cam.Project(r2.Sub(p, r2.Scale(wallTo, n)), 0)
	var out profile
	for i := range wallSamples {
		q := r2.Add(a, r2.Scale(float64(i)/(wallSamples-1), r2.Sub(b, a)))
		c, ok := t.colourAt(q)
		if !ok {
			return out, false
		}
		out.light[i], out.b[i], out.r[i] = math.Log(c.l), c.b/c.l, c.r/c.l
	}
	return out, true
}

// medianProfile takes the median over the stations at each depth: streaks that
// cross the side at an angle fall away.
func medianProfile(ps []profile) profile {
	var out profile
	col := make([]float64, len(ps))
	middle := func(at func(*profile) float64) float64 {
		for k := range ps {
			col[k] = at(&ps[k])
		}
		slices.Sort(col)
		return col[len(col)/2]
	}
	for i := range wallSamples {
		out.light[i] = middle(func(p *profile) float64 { return p.light[i] })
		out.b[i] = middle(func(p *profile) float64 { return p.b[i] })
		out.r[i] = middle(func(p *profile) float64 { return p.r[i] })
	}
	return out
}

// changes scores a change of level at every depth.
func (p *profile) changes() []float64 {
	out := make([]float64, wallSamples)
	for i := wallGap + 1; i+wallGap+wallAhead/2 <= wallSamples; i++ {
		out[i] = p.changeAt(i)
	}
	return out
}

// changeAt scores a change of light at one sample. Where the colour changes
// too it is not the wall but another part of the fish, such as the dark line
// along a loin.
func (p *profile) changeAt(i int) float64 {
	in, out := i+wallGap, i-wallGap
	to := min(wallSamples, in+wallAhead)
	mo, so := meanVar(p.light[:out])
	mi, si := meanVar(p.light[in:to])
	bo, _ := meanVar(p.b[:out])
	bi, _ := meanVar(p.b[in:to])
	ro, _ := meanVar(p.r[:out])
	ri, _ := meanVar(p.r[in:to])
	if math.Hypot(bi-bo, ri-ro) > wallColour {
		return 0
	}
	return math.Abs(mi-mo) / math.Sqrt(so+si+4e-4)
}

func meanVar(v []float64) (mean, variance float64) {
	for _, x := range v {
		mean += x
	}
	mean /= float64(len(v))
	for _, x := range v {
		variance += (x - mean) * (x - mean)
	}
	return mean, variance / float64(len(v))
}

// longAxis is the direction at right angles to the outline's least caliper
// width, which lies along an edge of the hull (Freeman and Shapira 1975).
func longAxis(outline []r2.Vec) r2.Vec {
	h := hull(outline)
	best, axis := math.Inf(1), r2.Vec{X: 1}
	for i, p := range h {
		d := r2.Sub(h[(i+1)%len(h)], p)
		if r2.Norm(d) == 0 {
			continue
		}
		d = r2.Unit(d)
		var width float64
		for _, q := range h {
			width = math.Max(width, math.Abs(r2.Cross(r2.Sub(q, p), d)))
		}
		if width < best {
			best, axis = width, d
		}
	}
	return axis
}

// middle is the mean of the outline's points.
func middle(outline []r2.Vec) r2.Vec {
	var s r2.Vec
	for _, p := range outline {
		s = r2.Add(s, p)
	}
	return r2.Scale(1/float64(len(outline)), s)
}
