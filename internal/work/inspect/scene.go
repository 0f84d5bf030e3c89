package inspect

import (
	"image"
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/core/piece"
	"netagauge/internal/judge/coverage"
	"netagauge/internal/see/mat"
	"netagauge/internal/see/parallax"
	"netagauge/internal/see/segment"
	"netagauge/internal/see/shape"
	"netagauge/internal/see/stereo"
)

// Standard uncertainties of what every photo brings, k = 1.
const (
	// edgeU is how well half-way colour tells the edge of one side; measured on
	// rendered trays it is 0.02 to 0.07 mm by species.
	edgeU = 0.06
	// An outline rougher than usualRough lies off, alike along a whole side, by roughTells
	// times as much as it is rougher: of 218 rendered slices, those seen on boards rougher
	// than 0.07 and 0.1 mm lay 0.14 and 0.4 mm off, all others 0.03 to 0.07.
	usualRough, roughTells = 0.055, 3.0
	// defaultT and defaultTU stand in for a thickness nobody entered, for the
	// parallax only: slices are 3 to 6 mm, common practice, no source.
	defaultT, defaultTU = 4.4, 0.8
)

// scene is what the steps after the photo share: where the camera was and what
// the person entered.
type scene struct {
	in    job
	found mat.Found
	luma  *image.Gray
	up    segment.Upright // in true mm
	eye   parallax.Eye
	print printScale
}

// thing is what lies on the field on its way to the report: what is known of it
// so far, and how it was seen.
type thing struct {
	piece.Piece
	seen   segment.Piece
	above  parallax.Outlines
	m      shape.Measures
	top    stereo.Reading // its surface, where a second photo shows it
	along  r2.Vec         // the direction that its slopes are told along
	relief stereo.Relief  // its thickness all over
	// how well both photos show other tops, see stereo.Surface.Shows
	shows  func(at func(landing r2.Vec) parallax.Spot) float64
	edge   stereo.Edge       // and what both outlines tell of its walls
	other  seenBy            // it in a second photo
	faces  facings           // of its walls
	odds   parallax.Odds     // of its walls' leans, by what is seen of itself
	likely []parallax.Likely // and the leans
	lean   r2.Vec            // the one taken, by height
	open   doubt
	linear spread
}

// seenBy is a piece as one of the photos shows it.
type seenBy struct {
	parallax.View
	walls []segment.Wall
	up    segment.Upright
}

// spread holds expanded uncertainties (k = 2) of a piece's measures, as the linear
// budget has them, and apart from them what a koba leaves open of the width, mm, to
// which no factor applies: it is there or is not.
type spread struct{ length, width, area, koba float64 }

func sceneOf(in job, a sight) *scene {
	return &scene{
		in: in, found: a.found, luma: a.pic.Luma(), print: a.print, eye: a.eye(in.SheetMM),
		up: a.up,
	}
}

// classify tells slices from other things and numbers the pieces as a person
// reads them.
func (s *scene) classify(seen segment.Result) []*thing {
	pieces := make([]*thing, len(seen.Pieces))
	for i, sp := range seen.Pieces {
		pieces[i] = &thing{seen: sp}
		pieces[i].Set(s.kind(sp))
		s.count(pieces[i])
		pieces[i].Outline = points(sp.Outline)
	}
	number(pieces)
	return pieces
}

// record keeps what was measured from straight above. Its intervals are those of
// the linear budget, by the factor that was measured for slices seen so. cover is the
// share of rice, so many mm wide, that is covered.
func (p *thing) record(cover, rice float64, u spread) {
	p.linear = u
	p.Outline = points(p.above.Whole)
	p.Length = piece.Of(p.m.Length, p.factor(piece.Length)*u.length)
	p.Width = piece.Of(p.m.Width, norm(p.factor(piece.Width)*u.width, u.koba))
	p.Area = piece.Of(p.m.Area, norm(p.factor(piece.Area)*u.area, u.koba*p.m.Length))
	p.Seen.KobaMM = u.koba
	p.Cover = piece.Of(cover, coverU(cover, p.Width.U, rice))
	p.Taper, p.Skew = piece.Of(p.m.Taper, 0), p.skew()
	p.OverallLength, p.OverallWidth = piece.Of(p.m.OverallLength, 0), piece.Of(p.m.OverallWidth, 0)
	p.WidthProfile = p.m.Profile[:]
	p.AxisDeg = math.Atan2(p.m.Axis.Y, p.m.Axis.X) * 180 / math.Pi
}

// factor is what the linear budget of a measure is multiplied by to hold 95 % of
// the slices that were seen as this one.
func (p *thing) factor(m *piece.Measure) float64 { return coverage.Measured().Of(m, p.Seen) }

// leaning is the lean of walls from which on they count as leaning: 15° off
// upright, where the score of the sample trays parts upright cuts from laid ones.
const leaning = 0.268

// seenAs is how the slice was seen.
func (s *scene) seenAs(p *thing) piece.Seen {
	_, told := s.in.Matter.LayAngles.Of(p.Number)
	return piece.Seen{Two: p.top.Known, LayTold: told, Leans: r2.Norm(p.lean) >= leaning}
}

// skewOpen is how far, by the light and by its own roughness, the direction of a
// side is open for each share of its length that the edge is: so that 95 of 100
// rendered slices lie within U. Two ends that are off by themselves would give
// sqrt(2), but most of the roughness is the slice's own.
const skewOpen = 0.9

// skew is that of the outline, where a parallelogram fits it.
func (p *thing) skew() piece.Value {
	f, fits := shape.Outline(p.above.Whole).Parallelogram(p.m.Axis)
	if !fits {
		return piece.Value{}
	}
	edge := math.Hypot(edgeU, f.Rough)
	u := norm(edge/f.End, edge/f.Long) * skewOpen
	return piece.Of(f.Skew, 2*u*180/math.Pi)
}

func point(v r2.Vec) [2]float64 { return [2]float64{v.X, v.Y} }

func points(o []r2.Vec) [][2]float64 {
	out := make([][2]float64, len(o))
	for i, p := range o {
		out[i] = point(p)
	}
	return out
}

// sideU is how well one side of a piece was seen, mm, k = 1.
func sideU(p segment.Piece) float64 {
	const soft = 0.1 // of a soft edge's width: our setting
	return norm(edgeU, soft*p.SoftMM, roughTells*math.Max(0, p.RoughMM-usualRough))
}

// spread propagates the edge, the print's scale, the height of the upper edge
// and what is left open of the solid into the measures (GUM, JCGM 100:2008,
// 5.1.2).
func (s *scene) spread(p *thing, edgeHeightU float64, open doubt) spread {
	side := sideU(p.seen)
	scale := math.Hypot(s.print.u, s.found.Residual/r2.Norm(s.found.Layout.Field.Size()))
	along, across := p.m.Axis, r2.Vec{X: -p.m.Axis.Y, Y: p.m.Axis.X}
	c := r2.Sub(p.m.Centroid, s.eye.Foot)
	away := func(dir r2.Vec, extent float64) float64 { // mm of measure per mm of height of the edge that way
		return math.Max(0, r2.Dot(c, dir)+extent/2) / s.eye.Height
	}
	l := away(along, p.m.OverallLength) + away(r2.Scale(-1, along), p.m.OverallLength)
	wide := func(dir r2.Vec) float64 { return away(dir, p.m.OverallWidth) }
	w := wide(across) + wide(r2.Scale(-1, across))
	tieL, tieW := shape.Outline(p.above.Whole).Doubt(p.m, 2*math.Hypot(math.Sqrt2*side, open.width))
	out := spread{
		length: 2 * norm(2*side, s.found.Residual, scale*p.m.Length, l*edgeHeightU, open.length, tieL/2),
		width:  2 * norm(2*side, s.found.Residual, scale*p.m.Width, w*edgeHeightU, open.width, tieW/2),
		koba:   2 * s.kobaU(p, across, wide),
	}
	out.area = 2 * norm(p.m.Perimeter*side, s.found.Residual*(p.m.Length+p.m.Width), 2*scale*p.m.Area,
		(w*p.m.Length+l*p.m.Width)*edgeHeightU, open.area)
	return out
}

// A koba's edge lies lower by half of the thickness, so that the outline of a side that
// faces away from the camera is taken back too far. One photo does not see it. Half of
// all slices are taken to have one, on either side as often; both are our settings. Of
// 1,679 rendered slices, a seventh with a koba, intervals without this held 97 % of widths
// below the camera and 87 % of those farthest off.
const kobaDepth, kobaShare = 0.5, 0.25

// kobaFound is how far off two photos have the height of a koba's edge, one standard
// deviation, as a share of the thickness: of 45 rendered kobas those that face away from
// the camera had widths off by that much, most of them too narrow, and intervals without
// this held 78 % of all 45. Why is not known.
const kobaFound = 0.27

// kobaU is how far the width is open for the height of a koba's edge, mm; wide is what it
// changes with the height of the edge that faces a way.
func (s *scene) kobaU(p *thing, across r2.Vec, wide func(dir r2.Vec) float64) float64 {
	t := s.thicknessOf(p).X
	switch {
	case !p.top.Known:
		return math.Sqrt(kobaShare) * kobaDepth * t * math.Hypot(wide(across), wide(r2.Scale(-1, across)))
	case p.top.Koba == stereo.Yes:
		return kobaFound * t * wide(sideways(p.along, p.top.Side))
	}
	return 0
}

// coverU is how well the covered share of rice is known, expanded, by that of the slice's
// width: an edge that is off by u along the whole length of the rice covers or bares a
// strip of u by that length, at most the share u / width of it.
func coverU(cover, u, rice float64) float64 {
	if cover >= 1-wholly {
		return 0
	}
	return u / rice
}

// wholly is what rounding leaves of a share that is whole.
const wholly = 1e-9

func norm(v ...float64) float64 {
	var s float64
	for _, x := range v {
		s += x * x
	}
	return math.Sqrt(s)
}
