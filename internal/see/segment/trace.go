package segment

import (
	"image"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/see/mat"
)

// The outline is traced on profiles across the coarse one: every stepMM along
// it, reachMM either way. The reach spans the coarse outline's own error and
// leaves clean colour at both ends.
const (
	stepMM  = 0.8
	reachMM = 1.8
)

// tracer reads colour profiles in the photo. It works at the resolution of the
// colour planes, brightness averaged down to it, so that brightness and colour
// are blurred alike and a pixel on the edge is a true mixture of its sides.
type tracer struct {
	photo   *image.YCbCr
	cam     *mat.Camera
	field   *field
	fieldX  func(p r2.Vec) (x, y int) // mm to the field model's pixels
	sx, sy  int                       // brightness pixels a colour sample spans
	paper   *colour                   // the white border, where pieces may reach over it, else nil
	field2D r2.Box                    // the field on the mat, mm
}

// colour is brightness and the two colour differences, not yet divided.
type colour struct{ l, b, r float64 }

// point is one place of a traced outline.
type point struct {
	at     r2.Vec  // mm on the mat plane
	normal r2.Vec  // outward
	moved  float64 // from the coarse outline, mm outward
	rise   float64 // mm from one fifth to four fifths of the step
	found  bool    // an edge was seen
}

func newTracer(photo *image.YCbCr, cam *mat.Camera, bare *field, at func(r2.Vec) (x, y int)) *tracer {
	t := &tracer{photo: photo, cam: cam, field: bare, fieldX: at, sx: 1, sy: 1}
	switch photo.SubsampleRatio {
	case image.YCbCrSubsampleRatio420:
		t.sx, t.sy = 2, 2
	case image.YCbCrSubsampleRatio422:
		t.sx = 2
	case image.YCbCrSubsampleRatio440:
		t.sy = 2
	case image.YCbCrSubsampleRatio411:
		t.sx = 4
	case image.YCbCrSubsampleRatio410:
		t.sx, t.sy = 4, 2
	}
	return t
}

// trace moves the points of a coarse outline (mm, on the mat plane) to where
// the colour passes half way from fish to mat.
func (t *tracer) trace(coarse []r2.Vec) []point {
	pts := normals(resample(coarse, stepMM))
	for i := range pts {
		t.edge(&pts[i])
	}
	steady(pts)
	for i := range pts {
		pts[i].at = r2.Add(pts[i].at, r2.Scale(pts[i].moved, pts[i].normal))
	}
	return pts
}

// edge finds the crossing on the profile through a point along its normal.
func (t *tracer) edge(pt *point) {
	p, n := pt.at, pt.normal
	in, out := t.cam.Project(r2.Sub(p, r2.Scale(reachMM, n)), 0), t.cam.Project(r2.Add(p, r2.Scale(reachMM, n)), 0)
	lenPx := r2.Norm(r2.Sub(out, in))
	count := int(math.Ceil(lenPx*2/float64(t.sx))) + 1
	var buf [200]colour
	if count > len(buf) {
		count = len(buf)
	}
	prof := buf[:count]
	for i := range prof {
		q := r2.Add(in, r2.Scale(float64(i)/float64(count-1), r2.Sub(out, in)))
		c, ok := t.colourAt(q)
		if !ok {
			return
		}
		prof[i] = c
	}
	fish := average(prof[:max(2, count*3/10)])
	bare := t.bareColour(prof, p, n)
	share, ok := mixture(fish, bare)
	if !ok {
		return
	}
	mid := inward(prof, share, 0.5)
	if math.IsNaN(mid) {
		return
	}
	perSample := 2 * reachMM / float64(count-1)
	pt.moved, pt.found = mid*perSample-reachMM, true
	pt.rise = perSample * math.Abs(inward(prof, share, 0.2)-inward(prof, share, 0.8))
}

// bareColour is what bare mat looks like beyond the edge: the profile's outer
// end when that is bare, else the field's own colour.
func (t *tracer) bareColour(prof []colour, p, n r2.Vec) colour {
	end := average(prof[len(prof)-max(2, len(prof)/6):])
	if out := r2.Add(p, r2.Scale(reachMM, n)); t.paper != nil && !within(t.field2D, out) {
		return colour{end.l, t.paper.b * end.l, t.paper.r * end.l}
	}
	x, y := t.fieldX(r2.Add(p, r2.Scale(reachMM, n)))
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

// mixture returns the share of fish, 0 to 1, in a pixel that mixes the two
// colours. A pixel is taken as g·(a·fish + (1-a)·bare) with an unknown
// brightness g, so that the shadow at the foot of a slice and the shading of
// its wall do not move the edge. It needs two colours that differ.
func mixture(fish, bare colour) (share func(colour) float64, ok bool) {
	d := r2.Vec{X: fish.b/fish.l - bare.b/bare.l, Y: fish.r/fish.l - bare.r/bare.l}
	if r2.Norm(d) < 0.03 {
		return nil, false
	}
	d = r2.Unit(d)
	cf, cb := fish.b*d.X+fish.r*d.Y, bare.b*d.X+bare.r*d.Y
	return func(p colour) float64 {
		c := p.b*d.X + p.r*d.Y
		f, m := c*bare.l-cb*p.l, cf*p.l-c*fish.l
		if s := f + m; s > 0 {
			return f / s
		}
		return 0
	}, true
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

// colourAt samples the colour planes at a place of the photo, bilinear.
func (t *tracer) colourAt(q r2.Vec) (colour, bool) {
	u, v := (q.X+0.5)/float64(t.sx)-0.5, (q.Y+0.5)/float64(t.sy)-0.5
	x, y := int(math.Floor(u)), int(math.Floor(v))
	w, h := t.photo.Rect.Dx()/t.sx, t.photo.Rect.Dy()/t.sy
	if x < 0 || y < 0 || x+1 >= w || y+1 >= h {
		return colour{}, false
	}
	fx, fy := u-float64(x), v-float64(y)
	var c colour
	for k, wt := range [4]float64{(1 - fx) * (1 - fy), fx * (1 - fy), (1 - fx) * fy, fx * fy} {
		cx, cy := x+k&1, y+k>>1
		i := cy*t.photo.CStride + cx
		c.l += wt * t.lightAt(cx, cy)
		c.b += wt * (float64(t.photo.Cb[i]) - 128)
		c.r += wt * (float64(t.photo.Cr[i]) - 128)
	}
	c.l += dim
	return c, true
}

// lightAt averages the brightness pixels under one colour sample.
func (t *tracer) lightAt(cx, cy int) float64 {
	var sum int
	for dy := range t.sy {
		row := t.photo.Y[(cy*t.sy+dy)*t.photo.YStride+cx*t.sx:]
		for dx := range t.sx {
			sum += int(row[dx])
		}
	}
	return float64(sum) / float64(t.sx*t.sy)
}

// steady replaces displacements that stand out from their neighbours, and those
// not found, by the median of their neighbours, then smooths lightly: an outline
// does not jump from one half millimetre to the next.
func steady(pts []point) {
	const half = 4
	n := len(pts)
	med := make([]float64, n)
	for i := range pts {
		var near []float64
		for k := -half; k <= half; k++ {
			if q := pts[((i+k)%n+n)%n]; q.found {
				near = append(near, q.moved)
			}
		}
		if len(near) == 0 {
			continue
		}
		slices.Sort(near)
		med[i] = near[len(near)/2]
	}
	raw := make([]float64, n)
	for i, p := range pts {
		raw[i] = p.moved
		if !p.found || math.Abs(p.moved-med[i]) > 0.35 {
			raw[i] = med[i]
		}
	}
	for i := range pts {
		pts[i].moved = 0.25*raw[(i+n-1)%n] + 0.5*raw[i] + 0.25*raw[(i+1)%n]
	}
}
