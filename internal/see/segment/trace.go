package segment

import (
	"image"
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/core/rank"
	"netagauge/internal/see/mat"
)

// The outline is traced on profiles across the coarse one: every stepMM along
// it, reachMM either way, further where colour is smeared: reachSmears times its
// sigma. The reach spans the coarse outline's own error and leaves
// clean colour at both ends.
const (
	stepMM      = 0.8
	reachMM     = 1.8
	reachSmears = 2.4
)

// tracer reads colour profiles in the photo.
type tracer struct {
	*planes
	cam      *mat.Camera
	field    *field
	fieldX   func(p r2.Vec) (x, y int) // mm to the field model's pixels
	reach    float64                   // mm either way across the coarse outline
	paper    colour                    // the white border's ratios
	fieldBox r2.Box                    // the field on the mat, mm
}

// point is one place of a traced outline.
type point struct {
	at     r2.Vec  // mm on the mat plane
	normal r2.Vec  // outward
	cut    float64 // what smoothing cut off a corner there, mm outward
	moved  float64 // from the smoothed outline, mm outward
	apart  float64 // how far the ratios of piece and mat lie apart, 0 where no mixture of them can be told
	rise   float64 // mm from one fifth to four fifths of the step, NaN where the profile ends before
	found  bool    // an edge was seen
	water  float64 // mm of water outside, 0 where there is none
	lit    float64 // the fish's light beside the edge, see pastDark
}

// newTracer reads the photo by a model of the bare field over a part of the
// upright picture.
func newTracer(pl *planes, f mat.Found, bare *field, up Upright, area image.Rectangle) *tracer {
	return &tracer{planes: pl, cam: &f.Camera, field: bare, fieldBox: f.Layout.Field, reach: math.Max(reachMM, reachSmears*pl.smear),
		fieldX: func(p r2.Vec) (x, y int) {
			return int(p.X*up.PxPerMM) - area.Min.X, int(p.Y*up.PxPerMM) - area.Min.Y
		}}
}

// trace moves the points of a coarse outline (mm, on the mat plane) to where
// the colour passes half way from fish to mat, or to the water that reaches from it
// to the outline of the patch.
func (t *tracer) trace(coarse, wet []r2.Vec) []point {
	pts := t.moved(withoutSpurs(coarse), wet, 4)
	if t.smear > 0 {
		// The coarse outline lies about as far out as colour is smeared, and a step
		// fitted to profiles that reach less far in than out leans outward.
		pts = t.moved(places(pts), wet, 2)
	}
	t.toLight(pts)
	return picked(pts, unspurred(places(pts)))
}

// moved moves the points of an outline to the edges of colour beside them, across
// the outline smoothed so many rounds.
func (t *tracer) moved(outline, wet []r2.Vec, rounds int) []point {
	even := resample(outline, stepMM)
	pts := normals(smooth(even, rounds))
	for i, p := range smooth(even, 1) { // less the staircase of pixels
		pts[i].cut = r2.Dot(r2.Sub(p, pts[i].at), pts[i].normal)
		pts[i].water = t.water(&pts[i], wet)
		t.edge(&pts[i])
	}
	settle(pts)
	if t.smear == 0 {
		t.pastDark(pts)
	}
	return pts
}

// settle moves points to their edges, without the jumps.
func settle(pts []point) {
	steady(pts)
	for i := range pts {
		pts[i].at = r2.Add(pts[i].at, r2.Scale(pts[i].moved, pts[i].normal))
		pts[i].cut = 0
	}
}

// places are where the points lie.
func places(pts []point) []r2.Vec {
	out := make([]r2.Vec, len(pts))
	for i, p := range pts {
		out[i] = p.at
	}
	return out
}

// edge finds the crossing on the profile through a point along its normal.
func (t *tracer) edge(pt *point) {
	var buf, sharpBuf [200]colour
	outward := t.outward(pt)
	prof, ok := t.across(pt, outward, t.even, buf[:])
	if !ok {
		return
	}
	fish, bare := average(prof[:max(2, len(prof)*3/10)]), t.beyond(pt, prof, r2.Add(pt.at, r2.Scale(outward, pt.normal)))
	m, ok := mixtureOf(fish, bare)
	if !ok {
		return
	}
	pt.apart = r2.Norm(r2.Sub(ratio(fish), ratio(bare)))
	mid := inward(prof, m.share, 0.5)
	if math.IsNaN(mid) {
		return
	}
	perSample := (t.reach + outward) / float64(len(prof)-1)
	// A step's rise from 20 to 80 % is 1.68 standard deviations of its blur: the ends drown in noise.
	pt.rise = perSample * math.Abs(inward(prof, m.share, 0.2)-inward(prof, m.share, 0.8))
	pt.lit = m.litAt(prof, mid-darkAt*t.blur/perSample)
	if t.smear > 0 {
		if sharp, ok := t.across(pt, outward, t.sharp, sharpBuf[:]); ok {
			mid = m.smearedEdge(sharp, t.smear/perSample)
		}
		pt.rise = math.Sqrt(math.Max(0, pt.rise*pt.rise-gaussRise*gaussRise*t.smear*t.smear)) // less what the camera smears
	}
	pt.moved, pt.found = mid*perSample-t.reach, !math.IsNaN(mid)
}

// across reads the profile through a point along its normal, from the inside
// out, two samples to a colour sample.
func (t *tracer) across(pt *point, outward float64, light *image.Gray, buf []colour) ([]colour, bool) {
	in := t.cam.Project(r2.Sub(pt.at, r2.Scale(t.reach, pt.normal)), 0)
	out := t.cam.Project(r2.Add(pt.at, r2.Scale(outward, pt.normal)), 0)
	step := r2.Sub(out, in)
	count := min(len(buf), int(math.Ceil(r2.Norm(step)*2/float64(t.sx)))+1)
	prof := buf[:count]
	for i := range prof {
		var ok bool
		if prof[i], ok = t.at(r2.Add(in, r2.Scale(float64(i)/float64(count-1), step)), light); !ok {
			return nil, false
		}
	}
	return prof, true
}

// outward is how far beyond a point its profile may go: on the field it ends
// before the printed edge, whose white is no piece's neighbour.
func (t *tracer) outward(pt *point) float64 {
	const off, least = 0.4, 0.6 // mm: the edge's blur, and what a profile needs
	if pt.water > 0 {
		return math.Min(t.reach, math.Max(least, pt.water-off))
	}
	if !within(t.fieldBox, pt.at) {
		return t.reach
	}
	far := t.reach
	for _, d := range [2][3]float64{
		{pt.normal.X, t.fieldBox.Min.X - pt.at.X, t.fieldBox.Max.X - pt.at.X},
		{pt.normal.Y, t.fieldBox.Min.Y - pt.at.Y, t.fieldBox.Max.Y - pt.at.Y},
	} {
		if d[0] != 0 {
			far = math.Min(far, math.Max(d[1]/d[0], d[2]/d[0])-off)
		}
	}
	if far < least {
		return t.reach
	}
	return far
}

// beyond is what lies beyond the edge: water, if there is any, or bare mat.
func (t *tracer) beyond(pt *point, prof []colour, out r2.Vec) colour {
	if pt.water > 0 {
		return outerEnd(prof)
	}
	return t.bareColour(prof, out)
}

func outerEnd(prof []colour) colour { return average(prof[len(prof)-max(2, len(prof)/6):]) }

// bareColour is what bare mat looks like beyond the edge: the profile's outer
// end when that is bare, else the field's own colour; paper beyond the field.
func (t *tracer) bareColour(prof []colour, out r2.Vec) colour {
	end := outerEnd(prof)
	if !within(t.fieldBox, out) {
		return colour{end.l, t.paper.b * end.l, t.paper.r * end.l}
	}
	x, y := t.fieldX(out)
	l, b, r := t.field.at(x, y)
	if math.Hypot(end.b/end.l-b, end.r/end.l-r) < math.Max(0.5*chromaShare*t.field.chroma, 4*t.field.noise) {
		return end
	}
	return colour{l, b * l, r * l}
}

func within(b r2.Box, p r2.Vec) bool {
	return p.X > b.Min.X && p.X < b.Max.X && p.Y > b.Min.Y && p.Y < b.Max.Y
}

func average(cs []colour) colour {
	var s colour
	for _, c := range cs {
		s.l, s.b, s.r = s.l+c.l, s.b+c.b, s.r+c.r
	}
	k := 1 / float64(len(cs))
	return colour{s.l * k, s.b * k, s.r * k}
}

// mixture tells how much of either colour is in a pixel. It looks along the line
// between the two, each taken as a ratio to brightness. A pixel is taken as
// g·(a·fish + (1-a)·bare) with an unknown brightness g, so that the shadow at the
// foot of a slice and the shading of its wall do not move the edge.
type mixture struct {
	along        r2.Vec  // unit vector in the plane of the two ratios
	fishL, fishU float64 // brightness, and colour along the line
	bareL, bareU float64
}

// leastApart is how far two ratios of colour to brightness must lie apart for a
// mixture of them to be told.
const leastApart = 0.03

// ratio is a colour by its brightness.
func ratio(c colour) r2.Vec { return r2.Vec{X: c.b / c.l, Y: c.r / c.l} }

func mixtureOf(fish, bare colour) (mixture, bool) {
	d := r2.Sub(ratio(fish), ratio(bare))
	if r2.Norm(d) < leastApart {
		return mixture{}, false
	}
	m := mixture{along: r2.Unit(d), fishL: fish.l, bareL: bare.l}
	m.fishU, m.bareU = m.of(fish), m.of(bare)
	return m, true
}

// of is a colour's part along the line.
func (m mixture) of(c colour) float64 { return c.b*m.along.X + c.r*m.along.Y }

// share is the share of fish in a pixel, 0 to 1.
func (m mixture) share(p colour) float64 {
	c := m.of(p)
	f, b := c*m.bareL-m.bareU*p.l, m.fishU*p.l-c*m.fishL
	if s := f + b; s > 0 {
		return f / s
	}
	return 0
}

// inward returns the place, in samples, where the share of fish first reaches
// a level, seen from the mat's side; NaN where it never does or is reached from
// the start.
func inward(prof []colour, share func(colour) float64, level float64) float64 {
	last := share(prof[len(prof)-1])
	if last >= level {
		return math.NaN()
	}
	for i := len(prof) - 2; i >= 0; i-- {
		v := share(prof[i])
		if v >= level {
			return float64(i) + (v-level)/(v-last)
		}
		last = v
	}
	return math.NaN()
}

// steady replaces displacements that stand out from their neighbours, and those
// not found, by the median of their neighbours, then smooths lightly: an outline
// does not jump from one half millimetre to the next. Smoothed, it does at a corner,
// so this is of how far the edge lies beyond what was cut off.
func steady(pts []point) {
	const half = 4
	n := len(pts)
	med := make([]float64, n)
	for i := range pts {
		var near []float64
		for k := -half; k <= half; k++ {
			if q := pts[((i+k)%n+n)%n]; q.found {
				near = append(near, q.moved-q.cut)
			}
		}
		if len(near) == 0 {
			continue
		}
		med[i] = rank.Median(near)
	}
	raw := make([]float64, n)
	for i, p := range pts {
		raw[i] = p.moved - p.cut
		if !p.found || math.Abs(raw[i]-med[i]) > 0.35 { // mm: no edge of a slice turns so sharply; our setting
			raw[i] = med[i]
		}
	}
	for i := range pts {
		// Weights of a binomial filter.
		pts[i].moved = pts[i].cut + 0.25*raw[(i+n-1)%n] + 0.5*raw[i] + 0.25*raw[(i+1)%n]
	}
}
