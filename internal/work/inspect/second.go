package inspect

import (
	"math"
	"sync"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/core/rank"
	"netagauge/internal/core/uncertainty"
	"netagauge/internal/judge/coverage"
	"netagauge/internal/judge/weight"
	"netagauge/internal/see/mat"
	"netagauge/internal/see/parallax"
	"netagauge/internal/see/segment"
	"netagauge/internal/see/shape"
	"netagauge/internal/see/stereo"
)

// leastApart is how far apart, by the height above the mat, two photos must
// have been taken: nearer, half a millimetre of height moves the top of a slice
// by less than a tenth of one. Our setting.
const leastApart = 0.2

// sights locates the mat in the photo and in the second one, if there is one, and
// fits both cameras together. without says why there is no second one.
func sights(in job) (a sight, refused *piece.Problem, b *sight, without *piece.Problem) {
	if in.Second.Data == nil {
		a, refused = locate(in.First.Data)
		return a, refused, nil, nil
	}
	var other sight
	var why *piece.Problem
	var wg sync.WaitGroup
	wg.Go(func() { other, why = locate(in.Second.Data) })
	a, refused = locate(in.First.Data)
	wg.Wait()
	switch {
	case refused != nil:
		return a, refused, nil, nil
	case why != nil:
		return a, nil, nil, ofSecond(*why)
	case a.found.Layout.Name != other.found.Layout.Name:
		return a, nil, nil, ofSecond(piece.NewProblem("", phrase.Of("p-other-mat"), phrase.Of("r-same-tray")))
	}
	var together bool
	a.found, other.found, together = mat.Together(a.found, other.found)
	other.alone = !together
	if d := apart(a, other); d < leastApart {
		// Well over leastApart, so that the next try is far enough.
		return a, nil, nil, ofSecond(piece.NewProblem("", phrase.Of("p-same-place", d*a.eye(0).Height), phrase.Of("r-sideways", 0.6*a.eye(0).Height)))
	}
	return a, nil, &other, nil
}

// apart is the distance between two eyes by their height.
func apart(a, b sight) float64 {
	ea, eb := a.eye(0), b.eye(0)
	return r2.Norm(r2.Sub(ea.Foot, eb.Foot)) / math.Min(ea.Height, eb.Height)
}

// ofSecond words why the second photo is of no use. The first one is measured
// all the same.
func ofSecond(p piece.Problem) *piece.Problem {
	q := piece.NewProblem("second-photo", phrase.Of("p-second-unused").And(p.Says), p.Cure)
	return &q
}

// outlines finds the pieces in both photos.
func outlines(a, b *sight) error {
	if b == nil {
		return a.outline()
	}
	var errB error
	var wg sync.WaitGroup
	wg.Go(func() { errB = b.outline() })
	err := a.outline()
	wg.Wait()
	if err == nil {
		err = errB
	}
	return err
}

// heights reads the surface of every slice that both photos show, and takes the
// thickness from it. What could not be read is a problem to tell.
func (s *scene) heights(pieces []*thing, b *sight) *piece.Problem {
	if b == nil {
		return nil
	}
	each(pieces, func(p *thing) { s.surfaceOf(p, b) })
	usual := usualHeight(pieces)
	known := map[int]uncertainty.Value{}
	var blind []float64
	for _, p := range pieces {
		odd := p.top.Top.X > mostOdd*usual || p.top.Top.X < usual/mostOdd
		switch {
		case p.State != piece.Measured:
		case p.top.Known && !odd && weight.CheckThickness(p.top.Top.X-raised(s.in.SheetMM)) == nil:
			t := p.top.Top
			t.X -= raised(s.in.SheetMM)
			t.U *= coverage.Measured().Of(piece.Weight, piece.Seen{Two: true})
			known[p.Number] = t
		default:
			p.top = stereo.Reading{}
			blind = append(blind, float64(p.Number))
		}
	}
	s.in.Matter.Thickness = weight.Seen{Each: known, Otherwise: s.in.Matter.Thickness}
	if blind == nil {
		return nil
	}
	q := piece.NewProblem("second-photo", phrase.Of("p-blind", blind...), phrase.Of("r-farther"))
	return &q
}

// mostOdd is by what factor a slice may be thicker or thinner than the tray's
// median. A slice that is pushed along the line between the cameras looks
// thicker or thinner in both photos; a push of 2 mm makes 3 to 4 mm of it. Our
// setting: slices of one tray differ by less.
const mostOdd = 1.8

// usualHeight is the median of the heights that were read, mm.
func usualHeight(pieces []*thing) float64 {
	var all []float64
	for _, p := range pieces {
		if p.top.Known {
			all = append(all, p.top.Top.X)
		}
	}
	if all == nil {
		return 0
	}
	return rank.Midpoint(all)
}

// surfaceOf reads one slice.
func (s *scene) surfaceOf(p *thing, b *sight) {
	if p.State != piece.Measured {
		return
	}
	o := shape.Outline(p.seen.Outline)
	other := sameIn(o, b.seen)
	if other == nil {
		return
	}
	pair := stereo.Pair{
		A: stereo.View{Luma: s.luma, Camera: s.found.Camera, Outline: p.seen.Outline},
		B: stereo.View{Luma: b.pic.Luma(), Camera: b.found.Camera, Outline: other.Outline},
	}
	p.along = o.LongAxis()
	surface, err := pair.Surface(p.along)
	if err != nil {
		return
	}
	p.top, p.edge, p.relief = surface.Read(), surface.Edge, surface.Relief
	p.shows = surface.Shows
	p.other = seenBy{parallax.View{Outline: other.Outline, Eye: b.eye(s.in.SheetMM)}, other.Walls, b.up}
	for i := range p.relief.Height {
		p.relief.Height[i] -= raised(s.in.SheetMM)
	}
	p.top.Top.U = uncertainty.Combine(p.top.Top.U, s.heightU(b)*p.top.Top.X)
}

// heightU is the relative standard uncertainty of a height that both cameras'
// places leave: each is known about as well as the corners of the tags lie by
// the extent of the mat, and that counts by their distance.
func (s *scene) heightU(b *sight) float64 {
	d := r2.Norm(r2.Sub(s.eye.Foot, b.eye(s.in.SheetMM).Foot))
	u := math.Hypot(s.found.Residual, b.found.Residual) / d
	if b.alone {
		u = math.Hypot(u, ofPlace*math.Hypot(s.found.HeightU, b.found.HeightU)/s.eye.Height)
	}
	return u
}

// ofPlace is the share of the relative doubt about a camera's height that is left in
// heights seen from it, where the photos could not be fitted as one lens, such as
// cropped ones: the camera moves aside in the fit as it moves up, which makes up for
// most of it. So much at most was left on five rendered pairs, cropped eleven ways.
const ofPlace = 0.4

// sameAs is how far the middle of a slice's outline may move between two
// photos: the top of a thick one is seen some 10 mm apart, and its outline moves
// by half of that.
const sameAs = 12.0 // mm

// sameIn is the piece of another photo at the same place.
func sameIn(o shape.Outline, seen segment.Result) *segment.Piece {
	var best *segment.Piece
	nearest := sameAs
	for i := range seen.Pieces {
		p := &seen.Pieces[i]
		if p.CutOff {
			continue
		}
		if d := r2.Norm(r2.Sub(shape.Outline(p.Outline).Centroid(), o.Centroid())); d < nearest {
			best, nearest = p, d
		}
	}
	return best
}
