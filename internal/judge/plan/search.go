package plan

import (
	"cmp"
	"context"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

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
const doubt = 0.35

func (r *row) value() float64 { return float64(r.count) - doubt*float64(r.count-r.sure) }

const (
	kept      = 5   // rows of the same count that are gone on from
	alike     = 1.5 // degrees: of rows that end with angles so near, the best is kept
	minAngle  = 15. // degrees; below it L = W / sin(theta) asks for cuts that no block is long enough for
	startStep = 2.0 // mm between the places where a first cut is tried
	patience  = 40. // mm beyond the first place found within which others are tried
	drifted   = 0.5 // share of half the band beyond which a size asks for other angles
)

// best is the row of cuts that frees most slices; nil where none does.
func (s search) best(ctx context.Context) *row {
	var best *row
	for rows := s.first(ctx); len(rows) > 0 && ctx.Err() == nil; {
		var next []*row
		for _, r := range rows {
			if best == nil || r.value() > best.value() {
				best = r
			}
			next = append(next, s.after(r)...)
		}
		if len(next) == 0 {
			next = s.starts(ctx, rows[0])
		}
		rows = s.narrowed(next)
	}
	return best
}

// first are the starts at the raw end. A bar so slight that its slices are
// mostly wall follows no closed form either, and gives a slice, if any, only
// thicker than the lightest.
func (s *search) first(ctx context.Context) []*row {
	low, high := s.weight, s.house.WeightFor(s.house.group).High
	for _, share := range []float64{0, 0.4, 0.8} {
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
	lo, hi := s.weight, s.house.WeightFor(s.house.group).Aim
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
		if len(out) < kept && !slices.ContainsFunc(out, near) {
			out = append(out, r)
		}
	}
	return out
}

// cost is the fish used and, as a share of a slice, how far the last one's size
// is from the middle of the bands: it will have to be made good.
func (s search) cost(r *row) float64 {
	l, w := off(r.slice.Length, s.house.Length.Low, s.house.Length.High), off(r.slice.Width, s.house.Width.Low, s.house.Width.High)
	return r.used + s.volume(s.weight)*(doubt*float64(r.count-r.sure)+0.2*(l*l+w*w))
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
func (s search) after(r *row) []*row {
	var out []*row
	c, slice, ok := s.cut(r.cut, r.cut.knife)
	if ok {
		out = append(out, s.next(r, c, slice))
	}
	if slice.Length == 0 {
		return out
	}
	l, w := off(slice.Length, s.house.Length.Low, s.house.Length.High), off(slice.Width, s.house.Width.Low, s.house.Width.High)
	if ok && max(math.Abs(l), math.Abs(w)) < 0.2 {
		return out
	}
	for _, k := range s.turned(r.cut.knife, slice) {
		if c, t, ok := s.cut(r.cut, k); ok {
			out = append(out, s.next(r, c, t))
		}
	}
	if len(out) == 0 || s.shaped && max(math.Abs(l), math.Abs(w)) > drifted {
		out = append(out, s.anew(r)...)
	}
	return out
}

// turned are the knife's angles brought nearer to the middle of the bands, by no
// more than the hand's turn and the standard's wedge allow.
func (s search) turned(k knife, t Slice) []knife {
	to := s.toward(k, t, min(s.turn, s.room(t.shape.OverallLength*sineDeg(k.phi))), min(s.turn, s.room(t.shape.OverallWidth)))
	return []knife{to, {to.theta, k.phi}, {k.theta, to.phi}}
}

// room is the turn, degrees, that the standard's wedge leaves beside the hand's
// own over an extent, or a quarter of it at least.
func (s search) room(extent float64) float64 {
	return max(0.95*coach.WedgeMost-s.house.hand.wedge(extent), coach.WedgeMost/4) / extent * 180 / math.Pi
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

// anew are the ways to go on with the knife held for the section beyond, next to
// the last cut without crossing it; the wedge between is an offcut.
func (s search) anew(r *row) []*row {
	along, up := r.cut.axes()
	var face []r3.Vec
	for _, part := range s.block.slab(r.cut, r.cut) {
		for _, p := range part {
			face = append(face, r3.Add(r3.Scale(r.cut.D, r.cut.N), r3.Add(r3.Scale(p.X, along), r3.Scale(p.Y, up))))
		}
	}
	lo, hi := s.block.spread(r.cut)
	var out []*row
	next := func(k knife) (plane, bool) {
		c := k.at(r3.Vec{})
		c.D = math.Inf(-1)
		for _, p := range face {
			c.D = max(c.D, r3.Dot(c.N, p))
		}
		return c, len(face) > 0
	}
	knives := slices.Concat(s.knives(s.block.Section((lo+hi)/2)), s.knives(s.block.Section(hi)))
	for i, k := range knives {
		if slices.Contains(knives[:i], k) {
			continue
		}
		if started, ok := s.start(r, next, k); ok {
			out = append(out, started)
		}
	}
	return out
}

// starts are the first places beyond a row, or from the raw end where there is
// none, that give a slice within the standard: one for each way of holding the
// knife.
func (s search) starts(ctx context.Context, r *row) []*row {
	from := -s.block.box.Width()
	if r != nil {
		from, _ = s.block.spread(r.cut)
	}
	found, until := map[int]bool{}, 0.0
	var out []*row
	for x := from; x < s.block.Length() && ctx.Err() == nil; x += startStep {
		at := s.block.Section(x)
		knives := s.knives(at)
		if len(found) == len(knives) || len(out) > 0 && x > until {
			break
		}
		mid := r3.Vec{X: x, Y: (at.Near + at.Far) / 2, Z: at.Highest() / 2}
		there := func(k knife) (plane, bool) {
			c := k.at(mid)
			return c, r == nil || s.block.massBefore(c).Volume >= r.used && !s.block.crossed(r.cut, c)
		}
		for i, k := range knives {
			if found[i] {
				continue
			}
			if started, ok := s.start(r, there, k); ok {
				if len(out) == 0 {
					until = x + patience
				}
				if math.Abs(started.cut.theta-k.theta)+math.Abs(started.cut.phi-k.phi) < alike {
					found[i] = true // else turned far: the knife itself may do further on
				}
				out = append(out, started)
			}
		}
	}
	return s.narrowed(out)
}

// start is a first cut behind a row and the cut that frees a slice behind it.
// Where the closed form misses the size, as it does where the block tapers or its
// top slopes, the knife is turned by what the slice itself shows.
func (s search) start(r *row, place func(knife) (plane, bool), k knife) (*row, bool) {
	for range 4 {
		c, ok := place(k)
		if !ok {
			return nil, false
		}
		d, slice, ok := s.cut(c, k)
		if ok {
			first := &row{cut: c, before: r, used: s.block.massBefore(c).Volume}
			if r != nil {
				first.count, first.sure = r.count, r.sure
			}
			return s.next(first, d, slice), true
		}
		if slice.Length == 0 || !s.shaped {
			return nil, false
		}
		k = s.toward(k, slice, 15, 15)
	}
	return nil, false
}

// shares of the house's bands that a knife is held for.
var shares = [...]float64{0.1, 0.5, 0.9}

// knives are the ways to hold the knife that give a section's slices a size
// within the standard.
func (s search) knives(at Station) []knife {
	var out []knife
	for _, a := range shares {
		for _, b := range shares {
			k := s.knife(at, band(s.house.Length.Low, s.house.Length.High, a), band(s.house.Width.Low, s.house.Width.High, b))
			out = append(out, knife{max(k.theta, minAngle), max(k.phi, minAngle)})
		}
	}
	return out
}

func band(low, high, share float64) float64 { return low + share*(high-low) }

// knife gives slices of a length and a width from a bar of the section's width
// and height. Each angle changes the face, so the thickness and the walls, and
// these the other angle; they settle in a few rounds. Upright where no angle
// does.
func (s search) knife(at Station, length, width float64) knife {
	k := knife{90, 90}
	for range 8 {
		thick := s.volume(s.weight) * sineDeg(k.theta) * sineDeg(k.phi) / (at.Width() * at.Highest())
		k.phi = angle(width, thick, at.Highest())
		k.theta = angle(length, coach.EndWall(thick, k.phi), at.Width())
	}
	return k
}

func angle(want, wall, block float64) float64 {
	if deg, ok := coach.Angle(want, wall, block); ok {
		return deg
	}
	return 90
}

// fill is the least share of a slice's face that the earlier cut's must have:
// with less the slice runs out thin to one end, as a first slice may that begins
// at the block's raw end. Our setting.
const fill = 0.7

// cut is the next cut, with the knife held so, that frees the lightest slice
// within the standard, a sure one before others; else it returns the slice at
// the least weight, if any.
func (s search) cut(last plane, k knife) (to plane, found Slice, ok bool) {
	before, face := s.block.massBefore(last).Volume, areaOf(s.block.slab(last, last))
	if face == 0 {
		return to, found, false
	}
	weights := s.weights()
	for i := range weights {
		c, some := s.atVolume(last, k, before+s.volume(weights[i]))
		if !some || face < fill*areaOf(s.block.slab(c, c)) {
			break
		}
		slice, some := s.house.slice(s.block, last, c)
		if i == 0 {
			found = slice
			weights[1] += 1.02 * s.house.swing(slice)
		}
		if !some || len(slice.Off) > 0 && !s.worthThicker(slice) {
			break
		}
		if len(slice.Off) == 0 && (!ok || slice.Sure) && !s.block.crossed(last, c) {
			to, found, ok = c, slice, true
		}
		if ok && (slice.Sure || i > 0) {
			break
		}
	}
	return to, found, ok
}

// weights are tried for a slice, g: the least, as little more as a hand needs,
// and the greater ones whose walls lie broader.
func (s search) weights() [4]float64 {
	high := s.house.WeightFor(s.house.group).High
	least := band(s.weight, high, 1e-6)
	return [4]float64{least, least, band(s.weight, high, 1./3), band(s.weight, high, 2./3)}
}

// worthThicker reports whether a thicker slice may have a size that this one
// has not: its walls lie broader.
func (s search) worthThicker(t Slice) bool {
	return t.Length < s.house.Length.High && t.Width < s.house.Width.High &&
		t.Length > s.house.Length.Low-3 && t.Width > s.house.Width.Low-3
}

// atVolume slides a plane along the block until so much of it lies before. The
// volume before a plane only grows, so that bisection cannot miss; steps by the
// secant come first. ok is false when the block ends first.
func (s search) atVolume(last plane, k knife, want float64) (plane, bool) {
	if want > s.block.Volume() {
		return plane{}, false
	}
	c := k.at(r3.Vec{})
	lo, hi := s.block.body.Reach(c.N)
	face := s.house.Length.Aim * s.house.Width.Aim
	c.D = c.N.X*last.D/last.N.X + s.volume(s.weight)/face
	was, had := math.NaN(), 0.0
	for i := 0; hi-lo > 1e-9; i++ {
		if c.D <= lo || c.D >= hi || i%4 == 3 {
			c.D = (lo + hi) / 2
		}
		got := s.block.massBefore(c).Volume
		if math.Abs(got-want) < 1e-6*s.volume(s.weight) {
			break
		}
		if got < want {
			lo = c.D
		} else {
			hi = c.D
		}
		if slope := (got - had) / (c.D - was); slope > 0.05*face {
			face = slope
		}
		was, had = c.D, got
		c.D += (want - got) / face
	}
	return c, true
}
