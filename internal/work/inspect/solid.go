package inspect

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/core/piece"
	"netagauge/internal/judge/weight"
	"netagauge/internal/see/parallax"
	"netagauge/internal/see/shape"
)

// doubt is what the walls that may be leave open: standard uncertainties of the
// measures, mm and mm².
type doubt struct{ length, width, area, face float64 }

// measure finds each piece's solid: first by itself, then with what the others
// tell, since slices of one block share their leans.
func (s *scene) measure(pieces []*thing) {
	each(pieces, func(p *thing) {
		if p.State == piece.Measured {
			p.faces = facingsOf(p.seen)
			edge := s.edgeOver(p)
			p.odds = parallax.Weigh(s.tells(p, edge)...).Narrow(s.rims(p, edge)...)
			p.likely = p.odds.Leans()
		}
	})
	s.shades(pieces)
	each(pieces, func(p *thing) { s.measureOne(p, pieces) })
}

// measureOne finds the solid whose outlines were seen and measures it.
func (s *scene) measureOne(p *thing, tray []*thing) {
	if p.State != piece.Measured {
		return
	}
	open, err := s.solid(p, tray)
	if err != nil {
		p.Set(piece.Foreign, "why-outline")
		return
	}
	house := s.in.Standard.Rice
	foot := shape.Footprint{Length: house.Length, Width: house.Width, CornerRadius: house.Corner}
	cover, rice := shape.Cover(p.above.Whole, p.m, foot)
	p.RicePlacement = &piece.Placement{CentreMM: point(rice.Centre), AngleDeg: rice.AngleDeg}
	p.Seen = s.seenAs(p)
	p.record(cover, house.Width, s.spread(p, s.edgeHeightU(s.thicknessOf(p)), open))
	p.open = open
}

// solid weighs the leans that the walls can have, takes the one whose measures lie
// in the middle of the odds, and says how far the others' lie off.
func (s *scene) solid(p *thing, tray []*thing) (doubt, error) {
	edge := s.edgeOver(p)
	views := []parallax.View{{Outline: p.seen.Outline, Eye: s.eye}}
	if p.top.Known {
		views = append(views, p.other.View)
	}
	tried, err := s.tried(p, views, edge, p.odds.And(shared(p, tray)).Leans())
	if err != nil {
		return doubt{}, err
	}
	if p.top.Known {
		p.shown(tried, s.eye)
	}
	mid := middle(tried)
	best, err := solidOf(views, parallax.Solid{Height: edge, Lean: parallax.Around(weighed(tried), mid.lean)})
	if err != nil {
		best = mid
	}
	p.above, p.lean = best.above, best.lean
	p.m, err = shape.Measure(best.above.Whole)
	return best.doubt(tried), err
}

// tried are the solids that may be, with their shares of the odds; an error if none can.
// What an outline's corners tell is asked only where no second photo sees the walls;
// solids it makes hopeless are not measured.
func (s *scene) tried(p *thing, views []parallax.View, edge func(r2.Vec) float64, leans []parallax.Likely) ([]*solid, error) {
	var tried []*solid
	var why error
	var all float64
	for _, l := range leans {
		form := parallax.Solid{Height: edge, Lean: l.Lean}
		above, err := parallax.FaceAbove(views, form)
		if err != nil {
			why = err
			continue
		}
		t := &solid{lean: l.Lean, share: l.Share, above: above}
		if !p.top.Known {
			t.share *= math.Exp(above.Lost(views[0], form))
		}
		all += t.share
		tried = append(tried, t)
	}
	tried = slices.DeleteFunc(tried, func(t *solid) bool {
		if t.share < hopeless*all {
			return true
		}
		err := t.measure(parallax.Solid{Height: edge, Lean: t.lean})
		if err != nil {
			why = err
		}
		return err != nil
	})
	if len(tried) == 0 {
		return nil, why
	}
	return tried, nil
}

// hopeless is the share of the odds below which a solid is left out.
const hopeless = 0.001

// wallTexture is how much of the texture's log likelihood counts when solids are
// weighed: neighbouring blocks err together. Of 0.02 and 0.1 the latter gave the
// better faces on four rendered pairs.
const wallTexture = 0.1

// shown weighs solids by how well both photos show their tops, walls included.
func (p *thing) shown(all []*solid, eye parallax.Eye) {
	logs := make([]float64, len(all))
	for i, t := range all {
		logs[i] = wallTexture * p.shows(func(q r2.Vec) parallax.Spot {
			return t.above.Spot(parallax.Solid{Height: p.top.Over, Lean: t.lean}, eye, p.other.Eye, q)
		})
	}
	most := slices.Max(logs)
	for i, t := range all {
		t.share *= math.Exp(logs[i] - most)
	}
}

// solid is one that may be, with its share of the odds.
type solid struct {
	lean  r2.Vec
	share float64
	above parallax.Outlines
	m     shape.Size
	face  float64 // mm²
}

func solidOf(views []parallax.View, form parallax.Solid) (*solid, error) {
	above, err := parallax.FaceAbove(views, form)
	if err != nil {
		return nil, err
	}
	s := &solid{lean: form.Lean, above: above}
	return s, s.measure(form)
}

// measure sweeps the face and takes the measures.
func (s *solid) measure(form parallax.Solid) (err error) {
	s.above.Sweep(form)
	s.m, err = shape.MeasureSize(s.above.Whole) // seen from a middle in equal steps, it cannot cross itself
	s.face = shape.Outline(s.above.Face).Area()
	return err
}

// middle is the solid from which the others' measures lie least far, by their
// share: the median for each measure, as far as one solid can have them all.
func middle(all []*solid) *solid {
	best, least := all[0], math.Inf(1)
	for _, s := range all {
		var far float64
		for _, o := range all {
			far += o.share * s.far(o)
		}
		if far < least {
			best, least = s, far
		}
	}
	return best
}

// far is how far the measures of two solids lie apart, mm.
func (s *solid) far(o *solid) float64 {
	return math.Abs(s.m.Length-o.m.Length) + math.Abs(s.m.Width-o.m.Width) +
		2*math.Abs(s.face-o.face)/(s.m.Length+s.m.Width)
}

func (s *solid) doubt(all []*solid) doubt {
	var v doubt
	var shares float64
	for _, o := range all {
		add := func(sum *float64, d float64) { *sum += o.share * d * d }
		add(&v.length, o.m.Length-s.m.Length)
		add(&v.width, o.m.Width-s.m.Width)
		add(&v.area, o.m.Area-s.m.Area)
		add(&v.face, o.face-s.face)
		shares += o.share
	}
	root := func(sum float64) float64 { return math.Sqrt(sum / shares) }
	return doubt{root(v.length), root(v.width), root(v.area), root(v.face)}
}

// weighed are the leans of solids with their shares.
func weighed(all []*solid) []parallax.Likely {
	out := make([]parallax.Likely, len(all))
	for i, s := range all {
		out[i] = parallax.Likely{Lean: s.lean, Share: s.share}
	}
	return out
}

// extent is the outline's across the direction in which the walls lean, mm: the
// face sweeps a strip so wide.
func (p *thing) extent() float64 {
	n := r2.Norm(p.lean)
	if n < 1e-9 {
		return p.m.OverallLength
	}
	return extent(p.above.Whole, r2.Scale(1/n, r2.Vec{X: -p.lean.Y, Y: p.lean.X}))
}

// seenLean is the lean that weighs the face found, with what is open of it.
func (p *thing) seenLean(t float64) weight.Lean {
	e := p.extent()
	return weight.SeenLean((p.m.Area-shape.Outline(p.above.Face).Area())/e, p.factor(piece.Weight)*p.open.face/e, t, p.Seen)
}
