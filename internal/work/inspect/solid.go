package inspect

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/core/piece"
	"netagauge/internal/core/uncertainty"
	"netagauge/internal/judge/weight"
	"netagauge/internal/see/parallax"
	"netagauge/internal/see/segment"
	"netagauge/internal/see/shape"
	"netagauge/internal/see/stereo"
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

// edgeHeightU is how well the height of the upper edge is known, mm. A camera whose
// own height is unsure moves the edge as a wrong thickness does.
func (s *scene) edgeHeightU(t uncertainty.Value) float64 {
	return norm(t.U, roundU, t.X*s.found.HeightU/s.eye.Height)
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

// edgeOver is the height of the upper edge over a place, mm.
func (s *scene) edgeOver(p *thing) func(r2.Vec) float64 {
	t := s.thicknessOf(p).X
	if !p.top.Known {
		return func(r2.Vec) float64 { return rim(t) }
	}
	return func(q r2.Vec) float64 { return math.Max(0, rim(p.top.Over(q)-raised(s.in.SheetMM))) }
}

// rim is the height of the upper edge that the outline is seen at: a cut edge is
// rounded. By both photos of rendered pairs it lies 0.35 mm below the face on 14
// slices with evenly rounded edges, 0.1 mm on 32 with sharply cut ones. The former
// is taken, and the latter left open.
func rim(t float64) float64 { return t - math.Min(rounded, t/5) }

// rounded is how far the edge seen lies below the face, mm, and roundU its standard
// uncertainty.
const rounded, roundU = 0.35, 0.2

// tells is all that is known of the walls' lean.
func (s *scene) tells(p *thing, edge func(r2.Vec) float64) []parallax.Tells {
	n, m := p.faces.n, p.faces.m
	out := []parallax.Tells{parallax.Wall(m)}
	told, ok := s.in.Matter.LayAngles.Of(p.Number)
	if ok {
		out = append(out, parallax.Told(p.laid(), told.X, told.U))
	} else {
		out = append(out, parallax.Wall(n))
	}
	if p.faces.square {
		out = append(out, parallax.Square(n, m))
	}
	for _, by := range s.photosOf(p) {
		for _, w := range by.walls {
			out = append(out, parallax.Light(sideOf(w), by.Eye, edge(w.Mid)))
		}
	}
	if p.top.Known {
		out = append(out, p.edge.Walls(edge))
	} else {
		for _, w := range p.seen.Walls {
			out = append(out, parallax.Dark(sideOf(w), s.eye, edge(w.Mid)))
		}
	}
	return out
}

// photosOf is a piece as each photo shows it.
func (s *scene) photosOf(p *thing) []seenBy {
	out := []seenBy{{parallax.View{Outline: p.seen.Outline, Eye: s.eye}, p.seen.Walls, s.up}}
	if p.top.Known {
		out = append(out, p.other)
	}
	return out
}

// rims is what light and colour tell along the whole rim, in each photo. A koba's line follows its side as a wall's upper edge does: that side
// is not asked.
func (s *scene) rims(p *thing, edge func(r2.Vec) float64) (out []parallax.Tells) {
	for _, by := range s.photosOf(p) {
		rim := parallax.RimOf(by.Outline, p.faces.n, p.faces.m)
		if p.top.Koba == stereo.Yes {
			rim = rim.Without(sideways(p.along, p.top.Side))
		}
		out = append(out, rim.Steps(by.up.Looks(by.Outline), by.Eye, edge(shape.Outline(by.Outline).Centroid())))
	}
	return out
}

// shared is what the other slices of the tray tell of a piece's lean.
func shared(p *thing, tray []*thing) parallax.Tells {
	n, m := p.faces.n, p.faces.m
	long, wide := size(p, m, n)
	var kin []parallax.Kin
	for _, o := range tray {
		if o == p || o.State != piece.Measured {
			continue
		}
		on, om := o.faces.n, o.faces.m
		l, w := size(o, om, on)
		x, y := math.Log(l/long)/alikeLength, math.Log(w/wide)/alikeWidth
		kin = append(kin, parallax.Kin{N: on, M: om, Leans: o.likely, Alike: math.Exp(-(x*x + y*y) / 2)})
	}
	return parallax.Shared(n, m, kin)
}

// By how much slices of one block differ in what is seen of them, as shares.
const alikeLength, alikeWidth = 0.06, 0.1

// size is how far a piece as seen extends along two directions, mm.
func size(p *thing, m, n r2.Vec) (length, width float64) {
	return extent(p.seen.Outline, m), extent(p.seen.Outline, n)
}

func extent(outline []r2.Vec, dir r2.Vec) float64 {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, q := range outline {
		d := r2.Dot(q, dir)
		lo, hi = math.Min(lo, d), math.Max(hi, d)
	}
	return hi - lo
}

// facings are the outward normals of a long side and of the end next to it, whether
// two long sides run along each other, and whether the piece is a block's whole
// section: two pairs of sides that do.
type facings struct {
	n, m         r2.Vec
	long, square bool
}

// laid are the sides that a lay may be told of: the long ones, or where no two run along
// each other, as in a triangle, all that face about as a long one would.
func (p *thing) laid() (out []parallax.Side) {
	for _, w := range p.seen.Walls {
		if !p.faces.long && math.Abs(r2.Dot(w.Normal, p.faces.n)) > lookedAt {
			out = append(out, sideOf(w))
		}
	}
	if out == nil {
		out = []parallax.Side{{Normal: p.faces.n, Length: 1}}
	}
	return out
}

func facingsOf(p segment.Piece) facings {
	axis := shape.Outline(p.Outline).LongAxis()
	n, long := pair(p.Walls, r2.Vec{X: -axis.Y, Y: axis.X})
	m, ends := pair(p.Walls, axis)
	return facings{n, m, long, long && ends}
}

// Sides that run along each other, and how far a side may face off from where it
// is looked for: cosines of some 15° and 50°.
const (
	opposite = 0.966
	lookedAt = 0.64
)

// pair is the normal of the two opposite sides that face most along a direction;
// that direction itself where there are none.
func pair(walls []segment.Wall, n r2.Vec) (r2.Vec, bool) {
	var best r2.Vec
	var longest float64
	for i, a := range walls {
		for _, b := range walls[i+1:] {
			// Walls of one slice that face each other are about as long. Our setting.
			if r2.Dot(a.Normal, b.Normal) > -opposite || math.Abs(r2.Dot(a.Normal, n)) < lookedAt || b.Length < 0.6*a.Length {
				continue
			}
			if a.Length > longest {
				longest = a.Length
				best = r2.Scale(math.Copysign(1, r2.Dot(a.Normal, n)), r2.Unit(r2.Sub(a.Normal, b.Normal)))
			}
		}
	}
	if longest == 0 {
		return n, false
	}
	return best, true
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

// weighed are the leans of solids with their shares.
func weighed(all []*solid) []parallax.Likely {
	out := make([]parallax.Likely, len(all))
	for i, s := range all {
		out[i] = parallax.Likely{Lean: s.lean, Share: s.share}
	}
	return out
}
