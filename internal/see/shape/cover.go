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

// whole is the share from which on a footprint counts as covered.
const whole = 0.99999

// Numbers of strips a footprint is cut into: on the coarse grid, in the search
// from there, and for the share returned.
const gridStrips, climbStrips, finalStrips = 16, 64, 1024

// How far, mm, the outline that the grid and the search use may lie from the
// true one. The share returned is of the true one.
const gridTol, climbTol = 0.3, 0.02

// Cover returns the greatest share of the footprint that the outline covers,
// over all shifts and turns within ±20° of the long axis, and where that is;
// where it is covered whole in many places, one near the middle. m are the
// outline's own measures. The footprint's length and width are above 0; the
// share of a footprint without area is NaN.
//
// The place is found on a coarse grid and then by a pattern search (Hooke and
// Jeeves 1961) from the three best.
func Cover(o Outline, m Measures, f Footprint) (float64, Placement) {
	own := o.about(m)
	best := f.best(own, whole)
	across := r2.Vec{X: -m.Axis.Y, Y: m.Axis.X}
	at := r2.Add(m.Centroid, r2.Add(r2.Scale(best.x, m.Axis), r2.Scale(best.y, across)))
	angle := math.Atan2(m.Axis.Y, m.Axis.X)*180/math.Pi + best.turn
	share := f.strips(finalStrips).share(own, best.x, best.y, best.turn)
	return math.Min(1, share), Placement{at, angle}
}

// Covers reports whether the outline covers at least so much of the footprint.
// It looks no further than needed for that, and may err by less than 0.005.
func Covers(o Outline, m Measures, f Footprint, share float64) bool {
	return f.best(o.about(m), share).share >= share
}

// about returns the outline about its centroid, the long axis along x.
func (o Outline) about(m Measures) Outline {
	own := make(Outline, len(o))
	for i, p := range o {
		own[i] = r2.Sub(p, m.Centroid)
	}
	return own.turned(m.Axis)
}

// best is the best placement found, or the first with enough of the footprint.
func (f Footprint) best(own Outline, enough float64) (best try) {
	thin, fine := own.thinned(climbTol), f.strips(climbStrips)
	for _, start := range f.strips(gridStrips).grid(thin.thinned(gridTol), enough) {
		if c := fine.climb(thin, start, enough); c.share > best.share {
			best = c
		}
		if best.share >= enough {
			break
		}
	}
	return best
}

// try is one placement, relative to the centroid and the long axis, degrees.
type try struct{ share, x, y, turn float64 }

// strips are a footprint cut across its length into strips of one pitch, mm.
type strips struct {
	half        []float64 // half the footprint's width in the middle of each strip
	pitch, area float64
}

func (f Footprint) strips(n int) strips {
	s := strips{half: make([]float64, n), pitch: f.Length / float64(n)}
	r := math.Min(f.CornerRadius, math.Min(f.Length, f.Width)/2)
	for i := range s.half {
		x := math.Abs(float64(i)+0.5-float64(n)/2) * s.pitch
		s.half[i] = f.Width / 2
		if d := x - (f.Length/2 - r); d > 0 {
			s.half[i] += math.Sqrt(r*r-d*d) - r
		}
		s.area += 2 * s.half[i]
	}
	return s
}

// share is the part of the footprint inside the outline at a placement. It is
// the area between each edge and the footprint's middle line, held to the
// footprint, summed with opposite signs for edges that go forth and back. An
// edge that ends within a strip counts for its part of it: were a strip in or
// out as a whole, a search would find where a square-cut end counts too much.
func (s strips) share(o Outline, x, y, turn float64) float64 {
	sin, cos := math.Sincos(turn * math.Pi / 180)
	n := float64(len(s.half))
	local := func(p r2.Vec) (along, across float64) { // along in strips
		dx, dy := p.X-x, p.Y-y
		return (cos*dx+sin*dy)/s.pitch + n/2, cos*dy - sin*dx
	}
	var inside float64
	ax, ay := local(o[len(o)-1])
	for _, p := range o {
		bx, by := local(p)
		lo, hi, sign := ax, bx, 1.0
		if bx < ax {
			lo, hi, sign = bx, ax, -1.0
		}
		slope := (by - ay) / (bx - ax)
		lo, hi = max(lo, 0), min(hi, n)
		for k := int(lo); lo < hi; k++ {
			to := min(hi, float64(k+1))
			h := s.half[k]
			inside += sign * (to - lo) * max(-h, min(h, ay+((lo+to)/2-ax)*slope))
			lo = to
		}
		ax, ay = bx, by
	}
	return math.Abs(inside) / s.area
}

// grid returns the three best placements of a grid, tried from the middle
// outwards.
func (s strips) grid(o Outline, enough float64) [3]try {
	var best [3]try
	for _, turn := range [...]float64{0, -10, 10, -20, 20} {
		for _, x := range [...]float64{0, -4, 4, -8, 8, -12, 12, -16, 16, -20, 20} {
			for _, y := range [...]float64{0, -2, 2, -4, 4, -6, 6, -8, 8} {
				c := try{s.share(o, x, y, turn), x, y, turn}
				for k := range best {
					if c.share > best[k].share {
						c, best[k] = best[k], c
					}
				}
				if best[0].share >= enough {
					return best
				}
			}
		}
	}
	return best
}

// climb moves to better places by steps that shrink from 2 mm and 4°.
func (s strips) climb(o Outline, c try, enough float64) try {
	c.share = s.share(o, c.x, c.y, c.turn)
	for step := 2.0; step > 0.05 && c.share < enough; { // mm: a twentieth is far below a share's own interval
		next := c
		for _, d := range [...][3]float64{{1, 0, 0}, {-1, 0, 0}, {0, 1, 0}, {0, -1, 0}, {0, 0, 2}, {0, 0, -2}} {
			x, y, turn := c.x+d[0]*step, c.y+d[1]*step, c.turn+d[2]*step
			if math.Abs(turn) > maxTurn {
				continue
			}
			if v := s.share(o, x, y, turn); v > next.share+1e-9 {
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

// thinned leaves out points that lie within tol, mm, of a straight line between
// those left.
func (o Outline) thinned(tol float64) Outline {
	out := Outline{o[0]}
	last := 0
	for i := 2; i <= len(o); i++ {
		if !o.straight(last, i, tol) {
			last = i - 1
			out = append(out, o[last])
		}
	}
	return out
}

// straight reports whether the points between two indices lie within tol of the
// line that joins these. The index after the last point is the first one.
func (o Outline) straight(from, to int, tol float64) bool {
	a, b := o[from], o[to%len(o)]
	d := r2.Sub(b, a)
	length := r2.Norm(d)
	for _, p := range o[from+1 : to] {
		if v := r2.Sub(p, a); math.Abs(r2.Cross(d, v)) > tol*length || r2.Dot(d, v) < 0 || r2.Dot(d, r2.Sub(b, p)) < 0 {
			return false
		}
	}
	return true
}
