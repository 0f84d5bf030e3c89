package parallax

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// rays is how many distances an outline is kept as: half a degree apart, 0.4 mm
// along the end of a large slice, half the step it is traced with.
const rays = 720

const perRad = rays / (2 * math.Pi)

// star is an outline as its distances from a middle, one for each ray, mm.
// Slices are star-shaped; of one that is not, the outermost border is kept.
type star struct {
	middle r2.Vec
	far    [rays]float64
}

func starOf(o []r2.Vec, middle r2.Vec) *star {
	s := &star{middle: middle}
	corners := s.corners(o)
	for i, c := range corners {
		s.take(c, corners[(i+1)%len(o)])
	}
	return s
}

// corner is a corner of a border as it lies from the middle, and the ray it lies on,
// in between rays.
type corner struct {
	at  r2.Vec
	ray float64
}

func (s *star) corners(o []r2.Vec) []corner {
	out := make([]corner, len(o))
	for i, p := range o {
		d := r2.Sub(p, s.middle)
		out[i] = corner{d, math.Atan2(d.Y, d.X) * perRad}
	}
	return out
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
	if span > rays/2+1 { // both on one ray, but for rounding
		span = 0
	}
	d := r2.Sub(b.at, a.at)
	first := int(math.Ceil(a.ray))
	k := (first + rays) % rays
	for range int(a.ray+span+rays) - rays - first + 1 {
		if c := r2.Cross(directions[k], d); c > 0 {
			s.far[k] = max(s.far[k], area/c)
		}
		if k++; k == rays {
			k = 0
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
