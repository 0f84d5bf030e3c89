package segment

import (
	"math"
	"netagauge/internal/core/rank"

	"gonum.org/v1/gonum/spatial/r2"
)

// Wall is what is seen along one side of a piece: light changes where the cut
// face ends and the wall, or the facet of the koba, begins.
type Wall struct {
	Normal r2.Vec  // outward, along the mat
	Mid    r2.Vec  // the middle of the side, on the mat plane, mm
	Length float64 // of the side, mm
	// Change tells how strongly the light changes at each depth inside the
	// outline, in standard deviations of the pattern on either side; the depth
	// of sample i is WallFrom + i·WallStep, mm on the mat plane. Nil where the
	// side could not be looked at.
	Change []float64
	// Dark is how much less of the face's light is seen beside the edge than beside most
	// edges of the tray, where no wall is seen; NaN where it was not looked at.
	Dark float64
}

// Profiles across a side start a little inside the outline, past the
// blur of the edge, and reach as far as the widest wall.
const (
	WallFrom    = 0.25
	wallTo      = WallFrom + (wallSamples-1)*WallStep // 11.85
	WallStep    = 0.2
	wallSamples = 59 // about 12 mm
	wallGap     = 2  // samples: half the breadth of a rounded upper edge
	wallAhead   = 20 // samples of face compared with the wall
	wallColour  = 0.22
	wallSpan    = 0.7 // share of the side looked at, away from the corners
)

// wall looks along a side of an outline.
func (t *tracer) wall(s side) Wall {
	w := Wall{Normal: s.normal, Mid: middle(s.points), Length: s.length}
	along := r2.Vec{X: -s.normal.Y, Y: s.normal.X}
	profiles := make([]profile, 0, len(s.points))
	for _, p := range s.points {
		if math.Abs(r2.Dot(r2.Sub(p, w.Mid), along)) > wallSpan/2*s.length {
			continue
		}
		if v, ok := t.inwardFrom(p, s.normal); ok {
			profiles = append(profiles, v)
		}
	}
	if len(profiles) < leastProfiles {
		return w
	}
	p := medianProfile(profiles)
	w.Change = p.changes()
	return w
}

const leastProfiles = 10

// profile is what is seen going inward from the outline: brightness, in a median
// profile its log, and the colour differences by brightness.
type profile struct{ light, b, r [wallSamples]float64 }

// inwardFrom samples from p against the outward normal.
func (t *tracer) inwardFrom(p, n r2.Vec) (profile, bool) {
	a, b := t.cam.Project(r2.Sub(p, r2.Scale(WallFrom, n)), 0), t.cam.Project(r2.Sub(p, r2.Scale(wallTo, n)), 0)
	var out profile
	for i := range wallSamples {
		q := r2.Add(a, r2.Scale(float64(i)/(wallSamples-1), r2.Sub(b, a)))
		c, ok := t.at(q, t.sharp)
		if !ok {
			return out, false
		}
		out.light[i], out.b[i], out.r[i] = c.l, c.b/c.l, c.r/c.l
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
		return rank.Median(col)
	}
	for i := range wallSamples {
		out.light[i] = math.Log(middle(func(p *profile) float64 { return p.light[i] }))
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
	// The last keeps flat parts from dividing by nothing: the square of 0.02. Our setting.
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

// middle is the mean of the outline's points.
func middle(outline []r2.Vec) r2.Vec {
	var s r2.Vec
	for _, p := range outline {
		s = r2.Add(s, p)
	}
	return r2.Scale(1/float64(len(outline)), s)
}
