package shape

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// Footprint is the upper surface of the rice unrolled flat: a rounded
// rectangle, mm.
type Footprint struct{ Length, Width, CornerRadius float64 }

// Placement is where a footprint lies: its centre and the direction of its
// length, degrees from the x axis towards y.
type Placement struct {
	Centre   r2.Vec
	AngleDeg float64
}

// maxTurn is how far the rice may lie off the long axis, degrees.
const maxTurn = 20

// slabs is the number of strips a footprint is cut into to find its share
// inside an outline.
const slabs = 96

// coarseStep is how many strips the first, coarse search passes over.
const coarseStep = 6

// Cover returns the greatest share of the footprint that the outline covers,
// over all shifts and turns within ±20° of the long axis, and where that is.
// The share is summed over thin strips across the footprint's length, each cut
// exactly; the placement is found on a coarse grid and then by a pattern search
// (Hooke and Jeeves 1961) from the three best places.
func Cover(o Outline, m Measures, f Footprint) (float64, Placement) {
	s := newSearch(o, m, f)
	best := s.coarse()
	for i := range best {
		best[i] = s.refine(best[i])
		if best[i].share > best[0].share {
			best[0], best[i] = best[i], best[0]
		}
		if best[0].share > 0.99999 {
			break
		}
	}
	c := best[0]
	at := r2.Add(m.Centroid, r2.Add(r2.Scale(c.x, m.Axis), r2.Scale(c.y, r2.Vec{X: -m.Axis.Y, Y: m.Axis.X})))
	return math.Min(1, c.share), Placement{at, math.Atan2(m.Axis.Y, m.Axis.X)*180/math.Pi + c.turn}
}

// try is one placement, relative to the centroid and the long axis.
type try struct{ share, x, y, turn float64 }

type search struct {
	own    Outline // about the centroid, long axis along x
	turned map[float64]cutter
	half   [slabs]float64 // half width of the footprint at each strip
	foot   Footprint
}

func newSearch(o Outline, m Measures, f Footprint) *search {
	s := &search{foot: f, turned: map[float64]cutter{}}
	for _, p := range o.turned(m.Axis) {
		c := r2.Vec{X: r2.Dot(m.Centroid, m.Axis), Y: r2.Dot(m.Centroid, r2.Vec{X: -m.Axis.Y, Y: m.Axis.X})}
		s.own = append(s.own, r2.Sub(p, c))
	}
	r := math.Min(f.CornerRadius, math.Min(f.Length, f.Width)/2)
	for i := range s.half {
		x := math.Abs(s.at(i))
		s.half[i] = f.Width / 2
		if d := x - (f.Length/2 - r); d > 0 {
			s.half[i] += math.Sqrt(r*r-d*d) - r
		}
	}
	return s
}

// at is the middle of strip i along the footprint.
func (s *search) at(i int) float64 { return s.foot.Length * ((float64(i)+0.5)/slabs - 0.5) }

// share is the part of the footprint inside the outline at a placement, by
// every step-th strip.
func (s *search) share(x, y, turn float64, step int) float64 {
	c, ok := s.turned[turn]
	sin, cos := math.Sincos(turn * math.Pi / 180)
	if !ok {
		q := make(Outline, len(s.own))
		for i, p := range s.own {
			q[i] = r2.Vec{X: cos*p.X + sin*p.Y, Y: cos*p.Y - sin*p.X}
		}
		c = newCutter(q)
		s.turned[turn] = c
	}
	cx, cy := cos*x+sin*y, cos*y-sin*x
	var buf [8]float64
	var inside, all float64
	for i := step / 2; i < slabs; i += step {
		h := s.half[i]
		all += 2 * h
		ys := c.crossings(cx+s.at(i), buf[:])
		for k := 0; k+1 < len(ys); k += 2 {
			inside += math.Max(0, math.Min(ys[k+1], cy+h)-math.Max(ys[k], cy-h))
		}
	}
	return inside / all
}

// coarse returns the three best placements of a grid.
func (s *search) coarse() [3]try {
	var best [3]try
	for _, turn := range [...]float64{0, -10, 10, -20, 20} {
		for x := -20.0; x <= 20; x += 4 {
			for y := -8.0; y <= 8; y += 2 {
				c := try{s.share(x, y, turn, coarseStep), x, y, turn}
				for k := range best {
					if c.share > best[k].share {
						c, best[k] = best[k], c
					}
				}
				if best[0].share > 0.99999 {
					return best
				}
			}
		}
	}
	return best
}

// refine climbs from a placement with shrinking steps.
func (s *search) refine(c try) try {
	c.share = s.share(c.x, c.y, c.turn, 1)
	for step := 2.0; step > 0.05 && c.share < 0.99999; {
		next := c
		for _, d := range [...][3]float64{{1, 0, 0}, {-1, 0, 0}, {0, 1, 0}, {0, -1, 0}, {0, 0, 2}, {0, 0, -2}} {
			x, y, turn := c.x+d[0]*step, c.y+d[1]*step, c.turn+d[2]*step
			if math.Abs(turn) > maxTurn {
				continue
			}
			if v := s.share(x, y, turn, 1); v > next.share+1e-9 {
				next = try{v, x, y, turn}
			}
		}
		if next == c {
			step /= 2
		}
		c = next
	}
	return c
}
