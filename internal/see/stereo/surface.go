package stereo

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/see/parallax"
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
	AlongU        float64 // standard uncertainties of the slopes
	AcrossU       float64
	Extent        r2.Vec // of the outline along and across, mm
	Facet         Facet
	FacetGain     float64 // by how much the facet explains the photos better, in log likelihood
	KobaGain      float64 // the same of the best facet that could be a koba
	Broken        bool    // the facet explains nothing along a part of its edge
	Mean          float64 // over the outline, facet included, mm
	Gain          float64 // by how much this surface explains the photos better than chance
	Step          Step    // what the outlines tell of a koba
	Run           float64 // of the walls across, as both outlines tell it, mm
	Relief        Relief
	over          func(s Surface, p r2.Vec) float64
	shows         func(at func(landing r2.Vec) parallax.Spot) float64
	Edge          Edge // what the two outlines tell by themselves
}

// What is tried.
const (
	lowest, highest       = 0.6, 11.4 // mm: slices and butterflies, generously
	coarsePitch           = 0.5
	coarseStep, fineStep  = 0.4, 0.25
	fineBelow, fineAbove  = 7.0, 1.0
	facetFrom, facetTo    = 1.5, 9.0  // width of a facet, mm
	leastShare, mostShare = 0.15, 1.0 // its drop by the height
	edgeRound             = 0.4       // mm: how far the edge seen lies below the face
	edgeTrust             = 0.5       // mm: how well the outlines alone tell the height of an upright slice
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
	edge, ok := edgeOf(p.A.Outline, p.B.Outline, p.A.eye(), p.B.eye())
	if !ok || edge.miss > mostMiss {
		return Surface{}, ErrApart
	}
	coarse := newPatch(p.A.Outline, along, coarsePitch)
	from, to := math.Max(lowest, edge.height-2*edge.u-1), math.Min(highest, edge.height+2*edge.u+2)
	rough := p.sweep(coarse, a, b, edge.height+edgeRound, steps(from, to, coarseStep))
	h := rough.best(edge.height+edgeRound, edge.u)
	h = newFit(rough, a, b, h).plane(h).Height
	fine := newPatch(p.A.Outline, along, finePitch)
	v := p.sweep(fine, a, b, h, steps(math.Max(0.1, h-fineBelow), h+fineAbove, fineStep)) // mm: not down to the mat itself
	f := newFit(v, a, b, h)
	f.near, f.nearU = edge.height+edgeRound, edge.u
	plane := f.plane(h)
	s := f.facet(plane)
	step := edge.step(f.sides(s), fine.across)
	if step.Gain > clearStep && !s.Facet.isStep(s.Height, step.Side) {
		if t := f.stepped(plane, step); step.Gain > sureStep || t.FacetGain > againstStep {
			s = t
		}
	}
	s = f.done(s)
	s.Step, s.Run = step, s.Height*r2.Dot(edge.lean, fine.across)
	s.Edge, s.Extent = edge, r2.Vec{X: float64(fine.nx) * fine.pitch, Y: float64(fine.ny) * fine.pitch}
	s.Relief = f.relief(s)
	s.shows = func(at func(r2.Vec) parallax.Spot) float64 { return f.shows(fine.raised(a.eye, h, 0), at) }
	s.over = func(s Surface, p r2.Vec) float64 {
		x, y := fine.cell(p)
		return f.over(&s, r2.Vec{X: x * fine.pitch, Y: y * fine.pitch})
	}
	return s, nil
}

// Shows is how well both photos agree with a solid, given what each ray of photo A
// meets of it by where the ray would land on the mat, as a log likelihood.
func (s Surface) Shows(at func(landing r2.Vec) parallax.Spot) float64 { return s.shows(at) }

// shows pools face and walls each by itself: walls are seen at a slant and agree
// less, and pooled with the face they would count against any solid that has them.
func (f *fit) shows(landing patch, at func(r2.Vec) parallax.Spot) float64 {
	heights := make([]float64, len(f.mid))
	var face, walls []int
	for _, b := range f.blocks {
		spot := at(landing.at(f.mid[b].X/f.v.patch.pitch, f.mid[b].Y/f.v.patch.pitch))
		heights[b] = spot.Height
		switch {
		case spot.Hidden:
		case spot.Wall:
			walls = append(walls, b)
		default:
			face = append(face, b)
		}
	}
	height := func(b int) float64 { return heights[b] }
	return f.v.likelihood(face, height) + f.v.likelihood(walls, height)
}

func steps(from, to, step float64) []float64 {
	var out []float64
	for h := from; h <= to; h += step {
		out = append(out, h)
	}
	return out
}
