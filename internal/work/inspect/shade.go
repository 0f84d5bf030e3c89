package inspect

import (
	"slices"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/core/piece"
	polygon "netagauge/internal/core/solid"
	"netagauge/internal/see/parallax"
	"netagauge/internal/see/segment"
	"netagauge/internal/see/shape"
)

// shades asks the mat beside the slices about leans that no second photo sees: what
// lights the tray is learnt from all slices, each with the leans that it may have by
// itself.
func (s *scene) shades(pieces []*thing) {
	var all []*thing
	for _, p := range pieces {
		if p.State == piece.Measured {
			all = append(all, p)
		}
	}
	if !slices.ContainsFunc(all, oneSeen) {
		return
	}
	shaded, own := make([]parallax.Shaded, len(all)), make([]parallax.Odds, len(all))
	each(all, func(p *thing) {
		i := slices.Index(all, p)
		shaded[i], own[i] = s.shaded(p, pieces), p.odds
	})
	for range lampRounds {
		for i, p := range all {
			shaded[i].Leans = p.likely
		}
		lamps := parallax.LampsOf(shaded)
		each(all, func(p *thing) {
			if i := slices.Index(all, p); oneSeen(p) {
				p.odds = own[i].Narrow(lamps.Tells(i))
				p.likely = p.odds.Leans()
			}
		})
	}
}

// lampRounds are those in which light and leans are told by each other.
const lampRounds = 2

// oneSeen reports whether no second photo sees the walls.
func oneSeen(p *thing) bool { return !p.top.Known }

// shaded is a piece with the mat beside it, its leans left out.
func (s *scene) shaded(p *thing, all []*thing) parallax.Shaded {
	var sides []parallax.Side
	for _, w := range p.seen.Walls {
		sides = append(sides, sideOf(w))
	}
	rim := parallax.RimOf(p.seen.Outline, p.faces.n, p.faces.m)
	return parallax.Shaded{
		Shades: rim.Shades(sides, s.bare(p, all)), Eye: s.eye,
		Height: s.edgeOver(p)(shape.Outline(p.seen.Outline).Centroid()),
	}
}

// bare is the light of the field beside a piece, where nothing lies on it.
func (s *scene) bare(p *thing, all []*thing) func(r2.Vec) (float64, bool) {
	grown := boxOf(p)
	beside := r2.Vec{X: besideMM, Y: besideMM}
	grown.Min, grown.Max = r2.Sub(grown.Min, beside), r2.Add(grown.Max, beside)
	var near []*thing
	var boxes []r2.Box
	for _, o := range all {
		b := boxOf(o)
		if o != p && b.Min.X < grown.Max.X && b.Max.X > grown.Min.X && b.Min.Y < grown.Max.Y && b.Max.Y > grown.Min.Y {
			near, boxes = append(near, o), append(boxes, b)
		}
	}
	return func(q r2.Vec) (float64, bool) {
		if !inside(s.found.Layout.Field, q) {
			return 0, false
		}
		for i, o := range near {
			if inside(boxes[i], q) && polygon.Inside(o.seen.Outline, q) {
				return 0, false
			}
		}
		return s.up.LightAt(q)
	}
}

// besideMM is how far beside a slice the mat is looked at.
const besideMM = 17

func boxOf(p *thing) r2.Box { return shape.Outline(p.seen.Outline).Bounds() }

func inside(b r2.Box, q r2.Vec) bool {
	return b.Min.X <= q.X && q.X <= b.Max.X && b.Min.Y <= q.Y && q.Y <= b.Max.Y
}

// sideOf is a side of a slice as light tells of its walls.
func sideOf(w segment.Wall) parallax.Side {
	return parallax.Side{Normal: w.Normal, Mid: w.Mid, Length: w.Length, Change: w.Change, From: segment.WallFrom, Step: segment.WallStep, Dark: w.Dark}
}
