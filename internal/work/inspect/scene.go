package inspect

import (
	"image"
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/core/uncertainty"
	"netagauge/internal/judge/coach"
	"netagauge/internal/judge/standard"
	"netagauge/internal/judge/weight"
	"netagauge/internal/see/mat"
	"netagauge/internal/see/parallax"
	"netagauge/internal/see/segment"
	"netagauge/internal/see/shape"
	"netagauge/internal/see/stereo"
	"netagauge/internal/tell/report"
)

// Standard uncertainties of what every photo brings, k = 1.
const (
	// edgeU is how well half-way colour tells the edge of one side; measured on
	// rendered trays it is 0.02 to 0.07 mm by species.
	edgeU = 0.06
	// roundU is how well the height of the rounded upper edge is known, mm.
	roundU = 0.25
	// defaultT and defaultTU stand in for a thickness nobody entered, for the
	// parallax only: slices are 3 to 6 mm, common practice, no source.
	defaultT, defaultTU = 4.4, 0.8
)

// scene is what the steps after the photo share: where the camera was and what
// the person entered.
type scene struct {
	in    Input
	found mat.Found
	luma  *image.Gray
	eye   parallax.Eye
	print printScale
	usual uncertainty.Value // mm, stands in where a piece has none of its own
}

// piece is one thing on the field on its way to the report.
type piece struct {
	seen    segment.Piece
	number  int
	state   report.State
	reason  string
	above   parallax.Outlines
	m       shape.Measures
	cover   float64
	rice    shape.Placement
	top     stereo.Reading // its surface, where a second photo shows it
	along   r2.Vec         // the direction that its slopes are told along
	relief  stereo.Relief  // its thickness all over
	edge    stereo.Edge    // and what both outlines tell of its walls
	lean    parallax.Lean
	u       spread
	weight  *weight.Weighed // nil when no thickness is known
	verdict standard.Judgement
	advice  []coach.Advice
}

// spread holds expanded uncertainties (k = 2) of a piece's measures.
type spread struct{ length, width, area, cover float64 }

func sceneOf(in Input, a sight) *scene {
	return &scene{
		in: in, found: a.found, luma: a.pic.Luma(), print: a.print, eye: a.eye(in.SheetMM),
		usual: uncertainty.Value{X: defaultT, U: defaultTU},
	}
}

// classify tells slices from other things and numbers the pieces as a person
// reads them.
func (s *scene) classify(seen segment.Result) []*piece {
	pieces := make([]*piece, len(seen.Pieces))
	for i, sp := range seen.Pieces {
		pieces[i] = &piece{seen: sp}
		pieces[i].state, pieces[i].reason = s.kind(sp)
	}
	number(pieces)
	return pieces
}

// measureOne takes the outline back to straight above and measures it.
func (s *scene) measureOne(p *piece) {
	if p.state != report.PieceMeasured {
		return
	}
	t := s.thicknessOf(p)
	edge := rim(t.X)
	p.lean = s.lean(p, t.X)
	above, err := parallax.Above(p.seen.Outline, s.eye, parallax.Slice{Edge: edge, Run: p.lean.Run})
	if err == nil {
		p.above = above
		p.m, err = shape.Measure(above.Whole)
	}
	if err != nil {
		p.state, p.reason = report.PieceForeign, "its outline cannot be followed: "+err.Error()
		return
	}
	rice := s.in.Standard.Rice
	foot := shape.Footprint{Length: rice.Length, Width: rice.Width, CornerRadius: rice.Corner}
	p.cover, p.rice = shape.Cover(above.Whole, p.m, foot)
	p.u = s.spread(p, edge, math.Hypot(t.U, roundU), p.lean.WidthU)
}

// rim is the height of the upper edge that the outline is seen at: a cut edge
// is rounded. The formula is that of the renderer that made the trays this
// program was measured on; no fish was measured. So agreement with those trays
// is no evidence for it: with a sharp edge (rim = t) area errs by 1.2 % there
// instead of 0.9 %.
func rim(t float64) float64 { return t - math.Min(0.6, 0.18*t) }

// lean is the run of the walls, from what is seen of them and, where it was
// told, the lay angle.
func (s *scene) lean(p *piece, t float64) parallax.Lean {
	var sides [2]parallax.Side
	for i, w := range p.seen.Walls {
		sides[i] = parallax.Side{Normal: w.Normal, Mid: w.Mid, Change: w.Change, From: segment.WallFrom, Step: segment.WallStep}
	}
	var outlines func(run r2.Vec) float64
	if p.top.Known {
		outlines = func(run r2.Vec) float64 { return p.edge.Walls(rim(t), run) }
	}
	if told, ok := s.in.Matter.LayAngles.Of(p.number); ok {
		return parallax.LeanKnown(sides, s.eye, rim(t), t*told.X, outlines)
	}
	return parallax.LeanOf(sides, s.eye, rim(t), t, outlines)
}

// spread propagates the edge, the print's scale, the height of the upper edge
// and the lean of the walls into the measures (GUM, JCGM 100:2008, 5.1.2).
func (s *scene) spread(p *piece, edge, edgeHeightU, leanU float64) spread {
	side := math.Hypot(edgeU, 0.1*p.seen.SoftMM)
	scale := math.Hypot(s.print.u, s.found.Residual/r2.Norm(s.found.Layout.Field.Size()))
	along, across := p.m.Axis, r2.Vec{X: -p.m.Axis.Y, Y: p.m.Axis.X}
	c := r2.Sub(p.m.Centroid, s.eye.Foot)
	seenAway := func(dir r2.Vec, extent float64) float64 { // mm of measure per mm of edge height
		d := r2.Dot(c, dir)
		return (math.Max(0, d+extent/2) + math.Max(0, extent/2-d)) / s.eye.Height
	}
	l := seenAway(along, p.m.OverallLength)
	w := seenAway(across, p.m.OverallWidth)
	tieL, tieW := shape.Outline(p.above.Whole).Doubt(p.m, 2*side+leanU)
	out := spread{
		length: 2 * norm(2*side, s.found.Residual, scale*p.m.Length, l*edgeHeightU, leanU*p.slant(), tieL/2),
		width:  2 * norm(2*side, s.found.Residual, scale*p.m.Width, w*edgeHeightU, leanU, tieW/2),
	}
	out.area = 2 * norm(p.m.Perimeter*side, s.found.Residual*(p.m.Length+p.m.Width), 2*scale*p.m.Area,
		(w*p.m.Length+l*p.m.Width)*edgeHeightU, leanU*p.m.Length)
	// An edge that is off by u along the whole length of the rice covers or bares
	// a strip of u by that length: at most the share u / width of it.
	if p.cover < 1 {
		out.cover = out.width / s.in.Standard.Rice.Width
	}
	return out
}

// slant is how far a slice's ends lie off square: the shift of one long side
// against the other by the width. A wall that leans across moves slanted ends
// along by as much.
func (p *piece) slant() float64 {
	across := r2.Vec{X: -p.m.Axis.Y, Y: p.m.Axis.X}
	var mean [2]float64
	var n [2]float64
	for _, q := range p.above.Whole {
		d := r2.Sub(q, p.m.Centroid)
		v := r2.Dot(d, across)
		if math.Abs(v) < 0.3*p.m.OverallWidth {
			continue
		}
		k := 0
		if v > 0 {
			k = 1
		}
		mean[k] += r2.Dot(d, p.m.Axis)
		n[k]++
	}
	if n[0] == 0 || n[1] == 0 {
		return 0
	}
	return math.Abs(mean[1]/n[1]-mean[0]/n[0]) / p.m.OverallWidth
}

func norm(v ...float64) float64 {
	var s float64
	for _, x := range v {
		s += x * x
	}
	return math.Sqrt(s)
}
