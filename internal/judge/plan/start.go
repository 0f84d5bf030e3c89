package plan

import (
	"context"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"netagauge/internal/judge/coach"
)

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
// within the standard: as if it were a bar of its height and, where it slopes, a
// few as of its mean height.
func (s search) knives(at Station) (out []knife) {
	hold := func(high, a, b float64) {
		k := s.knife(at.Width(), high, band(s.house.Length.Low, s.house.Length.High, a), band(s.house.Width.Low, s.house.Width.High, b))
		out = append(out, knife{max(k.theta, minAngle), max(k.phi, minAngle)})
	}
	const sloping = 0.9 // mean height by the greatest
	mean := at.area() / at.Width()
	for _, a := range shares {
		for _, b := range shares {
			hold(at.Highest(), a, b)
		}
		if mean < sloping*at.Highest() {
			hold(mean, a, a)
		}
	}
	return out
}

func band(low, high, share float64) float64 { return low + share*(high-low) }

// knife gives slices of a length and a width from a bar so wide and high. Each angle changes the face, so the thickness and the walls, and
// these the other angle; they settle in a few rounds. Upright where no angle
// does.
func (s search) knife(wide, high, length, width float64) knife {
	k := knife{90, 90}
	for range 8 {
		thick := s.volume(s.weight) * sineDeg(k.theta) * sineDeg(k.phi) / (wide * high)
		k.phi = angle(width, thick, high)
		k.theta = angle(length, coach.EndWall(thick, k.phi), wide)
	}
	return k
}

func angle(want, wall, block float64) float64 {
	if deg, ok := coach.Angle(want, wall, block); ok {
		return deg
	}
	return 90
}
