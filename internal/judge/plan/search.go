package plan

import (
	"cmp"
	"context"
	"math"
	"slices"

	"netagauge/internal/judge/coach"
)

// search looks for the cuts that serve most slices of a block: a beam search,
// slice by slice. Of all ways found to free so many slices it keeps a few that
// have used the least fish, and goes on from these.
type search struct {
	block  Block // as seen from the start
	house  house
	turn   float64 // the most that an angle changes from one cut to the next, degrees
	weight float64 // the least of a slice, g
	shaped bool    // the block is no plain bar
}

// row is the last cut of some, its slice, and the cuts before.
type row struct {
	cut    plane
	slice  Slice // none where the cut only frees an offcut
	before *row
	count  int     // slices so far
	sure   int     // of them
	used   float64 // mm³ before the cut
}

// doubt is how much less a slice counts that a hand's scatter may spoil. Our
// setting.
const doubt = 0.65

func (r *row) value() float64 { return float64(r.count) - doubt*float64(r.count-r.sure) }

const (
	kept      = 5    // rows of the same count that are gone on from
	opening   = 40   // of them at the very start, which decides how the knife is held for all
	fewer     = 10   // and so many fewer with each slice
	alike     = 1.5  // degrees: of rows that end with angles so near, the best is kept
	minAngle  = 15.  // degrees; below it L = W / sin(theta) asks for cuts that no block is long enough for
	startStep = 2.0  // mm between the places where a first cut is tried
	patience  = 40.  // mm beyond the first place found within which others are tried
	renewed   = 2    // of them the knife is also held anew
	middling  = 0.2  // share of half the band within which a size asks for no other angles
	offMiddle = 0.2  // of a slice's volume, what a size at the edge of its band costs
	wedgeKept = 0.95 // of the standard's wedge, so that rounding breaks no slice
	drifted   = 0.5  // share of half the band beyond which a size asks for other angles
)

// best is the row of cuts that frees most slices; nil where none does.
func (s search) best(ctx context.Context) *row {
	var best *row
	for rows := s.first(ctx); len(rows) > 0 && ctx.Err() == nil; {
		var next []*row
		for i, r := range rows {
			if best == nil || r.value() > best.value() {
				best = r
			}
			next = append(next, s.after(r, i < renewed)...)
		}
		if len(next) == 0 {
			next = s.starts(ctx, rows[0])
		}
		rows = s.narrowed(next)
	}
	if best == nil {
		return nil
	}
	return s.evened(best)
}

// closely takes the measures of a row's slices anew, closely, and reports whether
// all keep to the standard.
func (s search) closely(r *row) bool {
	s.house.rough = false
	for ; r != nil; r = r.before {
		if r.slice.Weight == 0 {
			continue
		}
		slice, ok := s.house.slice(s.block, r.before.cut, r.cut)
		if !ok || len(slice.Off) > 0 {
			return false
		}
		r.slice = slice
	}
	return true
}

// thicker are the shares of the band of weights at which a start is looked for in turn.
var thicker = [...]float64{0, 0.4, 0.8}

// first are the starts at the raw end. A bar so slight that its slices are
// mostly wall follows no closed form either, and gives a slice, if any, only
// thicker than the lightest.
func (s *search) first(ctx context.Context) []*row {
	low, high := s.weight, s.house.WeightFor(s.house.group).High
	for _, share := range thicker {
		s.weight = band(low, high, share)
		if rows := s.starts(ctx, nil); len(rows) > 0 {
			return rows
		}
		s.shaped = true
	}
	s.weight = low
	return s.starts(ctx, nil)
}

// evened gives all slices of an unbroken row the weight, up to the aim, that
// leaves none of them out.
func (s search) evened(best *row) *row {
	var cuts []plane
	for r := best; r != nil; r = r.before {
		cuts = append(cuts, r.cut)
	}
	slices.Reverse(cuts)
	if len(cuts) != best.count+1 {
		return best
	}
	lo, hi := s.weight, max(s.weight, s.house.WeightFor(s.house.group).Aim)
	for range 6 {
		s.weight = (lo + hi) / 2
		r := &row{cut: cuts[0], used: s.block.massBefore(cuts[0]).Volume}
		for _, c := range cuts[1:] {
			next, slice, ok := s.cut(r.cut, c.knife)
			if !ok {
				break
			}
			r = s.next(r, next, slice)
		}
		if r.value() >= best.value() {
			best, lo = r, s.weight
		} else {
			hi = s.weight
		}
	}
	return best
}

// narrowed keeps the rows that have used the least, no two alike.
func (s search) narrowed(rows []*row) []*row {
	slices.SortStableFunc(rows, func(a, b *row) int { return cmp.Compare(s.cost(a), s.cost(b)) })
	var out []*row
	for _, r := range rows {
		near := func(o *row) bool {
			return math.Abs(o.cut.theta-r.cut.theta) < alike && math.Abs(o.cut.phi-r.cut.phi) < alike
		}
		if len(out) < max(kept, opening-fewer*r.count) && !slices.ContainsFunc(out, near) {
			out = append(out, r)
		}
	}
	return out
}

// cost is the fish used and, as a share of a slice, how far the last one's size
// is from the middle of the bands: it will have to be made good.
func (s search) cost(r *row) float64 {
	l, w := off(r.slice.Length, s.house.Length.Low, s.house.Length.High), off(r.slice.Width, s.house.Width.Low, s.house.Width.High)
	return r.used + s.volume(s.weight)*(doubt*float64(r.count-r.sure)+offMiddle*(l*l+w*w))
}

// off is how far a value is from the middle of a band, in halves of the band.
func off(v, low, high float64) float64 { return (2*v - low - high) / (high - low) }

// volume of a slice, mm³.
func (s search) volume(grams float64) float64 { return grams / s.house.density * 1000 }

func (s search) next(r *row, c plane, slice Slice) *row {
	sure := r.sure
	if slice.Sure {
		sure++
	}
	return &row{cut: c, slice: slice, before: r, count: r.count + 1, sure: sure, used: s.block.massBefore(c).Volume}
}

// after are the ways to free one more slice: the knife held as before, turned
// towards the middle of the bands, and where that fails or the size has drifted,
// held anew behind an offcut.
func (s search) after(r *row, best bool) []*row {
	var out []*row
	c, slice, ok := s.cut(r.cut, r.cut.knife)
	if ok {
		out = append(out, s.next(r, c, slice))
	}
	if slice.Length == 0 {
		return out
	}
	l, w := off(slice.Length, s.house.Length.Low, s.house.Length.High), off(slice.Width, s.house.Width.Low, s.house.Width.High)
	if ok && max(math.Abs(l), math.Abs(w)) < middling {
		return out
	}
	for _, k := range s.turned(r.cut.knife, slice) {
		if c, t, ok := s.cut(r.cut, k); ok {
			out = append(out, s.next(r, c, t))
		}
	}
	if len(out) == 0 || best && s.shaped && max(math.Abs(l), math.Abs(w)) > drifted {
		out = append(out, s.anew(r)...)
	}
	return out
}

// turned are the knife's angles brought nearer to the middle of the bands, by no
// more than the hand's turn and the standard's wedge allow. Where the slice would
// not be sure anyhow, the wedge is also used up, to come back sooner to sizes that
// are.
func (s search) turned(k knife, t Slice) (out []knife) {
	for _, sure := range []bool{true, false} {
		if !sure && t.Sure {
			break
		}
		long, wide := t.shape.OverallLength*sineDeg(k.phi), t.shape.OverallWidth
		to := s.toward(k, t, min(s.turn, s.room(long, sure)), min(s.turn, s.room(wide, sure)))
		out = append(out, to, knife{to.theta, k.phi}, knife{k.theta, to.phi})
	}
	return out
}

// room is the turn, degrees, that the standard's wedge leaves over an extent,
// beside the hand's own where the slice is to be sure: then a quarter of it at
// least.
func (s search) room(extent float64, sure bool) float64 {
	wedge := wedgeKept * coach.WedgeMost
	if sure {
		wedge = max(wedge-s.house.hand.wedge(extent), coach.WedgeMost/4)
	}
	return wedge / extent * 180 / math.Pi
}

// toward turns the knife by what brings the slice's size to the middle of the
// bands, and by no more than so many degrees.
func (s search) toward(k knife, t Slice, mostTheta, mostPhi float64) knife {
	to := func(used, have, low, high, wall, most float64) float64 {
		deg, ok := coach.Turned(used, have, (low+high)/2, wall)
		if !ok {
			deg = 90
		}
		return max(used+min(max(deg-used, -most), most), minAngle)
	}
	l, w := s.house.Length, s.house.Width
	return knife{
		to(k.theta, t.Length, l.Low, l.High, coach.EndWall(t.Thickness, k.phi), mostTheta),
		to(k.phi, t.Width, w.Low, w.High, t.Thickness, mostPhi),
	}
}

func sineDeg(deg float64) float64 { v, _ := sincosDeg(deg); return v }
