package parallax

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// rays is how many distances an outline is kept as: half a degree apart, 0.4 mm
// along the end of a large slice, half the step it is traced with.
const rays = 720

// star is an outline as its distances from a middle, one for each ray, mm.
// Slices are star-shaped; of one that is not, the outermost border is kept.
type star struct {
	middle r2.Vec
	far    [rays]float64
}

func starOf(o []r2.Vec, middle r2.Vec) (s star) {
	s.middle = middle
	if len(o) == 0 {
		return s
	}
	a := s.corner(o[len(o)-1], 0)
	for _, p := range o {
		b := s.corner(p, a.ray)
		s.take(a, b)
		a = b
	}
	return s
}

// corner is a corner of a border as it lies from the middle, and the last ray up to
// which it lies.
type corner struct {
	at  r2.Vec
	ray int
}

// corner looks for the corner's ray from another one on: corners of a border follow
// each other.
func (s *star) corner(p r2.Vec, from int) corner {
	d := r2.Sub(p, s.middle)
	return corner{d, upTo(d, from)}
}

// upTo is the last ray up to a direction.
func upTo(d r2.Vec, ray int) int {
	back := r2.Cross(directions[ray], d) < 0
	for range rays {
		next := (ray + 1) % rays
		if back {
			next = (ray + rays - 1) % rays
		}
		if ahead := r2.Cross(directions[next], d) >= 0; back == ahead {
			if back {
				return next
			}
			return ray
		}
		ray = next
	}
	return 0 // no direction
}

var directions = func() (d [rays]r2.Vec) {
	for i := range d {
		d[i].Y, d[i].X = math.Sincos(2 * math.Pi * float64(i) / rays)
	}
	return d
}()

// take pushes the outline out to a piece of border.
func (s *star) take(a, b corner) {
	area := r2.Cross(a.at, b.at)
	if area < 0 {
		a, b, area = b, a, -area
	}
	span := b.ray - a.ray
	if span < 0 {
		span += rays
	}
	if span > rays/2+1 { // both between the same rays, but for rounding
		return
	}
	d := r2.Sub(b.at, a.at)
	k := a.ray
	for range span {
		if k++; k == rays {
			k = 0
		}
		if c := r2.Cross(directions[k], d); c > 0 {
			s.far[k] = max(s.far[k], area/c)
		}
	}
}

// keep keeps what lies inside another outline about the same middle.
func (s *star) keep(o *star) {
	for i, f := range o.far {
		s.far[i] = min(s.far[i], f)
	}
}

// add adds the share of another outline about the same middle.
func (s *star) add(o *star, share float64) {
	for i, f := range o.far {
		s.far[i] += share * f
	}
}

func (s *star) least() float64 {
	least := s.far[0]
	for _, f := range s.far {
		least = min(least, f)
	}
	return least
}

func (s *star) outline() []r2.Vec {
	out := make([]r2.Vec, 0, rays)
	for i, f := range s.far {
		if f > 0 {
			out = append(out, r2.Add(s.middle, r2.Scale(f, directions[i])))
		}
	}
	return out
}

// holds reports whether a place lies inside.
func (s *star) holds(p r2.Vec) bool {
	d := r2.Sub(p, s.middle)
	k := int(math.Round(math.Atan2(d.Y, d.X)*rays/(2*math.Pi))+rays) % rays
	return r2.Norm(d) < s.far[k]
}
