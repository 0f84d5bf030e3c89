package inspect

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/core/piece"
	"netagauge/internal/core/uncertainty"
	"netagauge/internal/see/parallax"
	"netagauge/internal/see/shape"
	"netagauge/internal/see/stereo"
)

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

// rims is what light and colour tell along the whole rim, in each photo. A koba's line
// follows its side as a wall's upper edge does: that side is not asked.
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

// edgeHeightU is how well the height of the upper edge is known, mm. A camera whose
// own height is unsure moves the edge as a wrong thickness does.
func (s *scene) edgeHeightU(t uncertainty.Value) float64 {
	return norm(t.U, roundU, t.X*s.found.HeightU/s.eye.Height)
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
