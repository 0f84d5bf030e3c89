package plan

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// plane is a cut, the points with n·p = d. n points into the uncut block.
// The trace's far end lies nearer the start than its near end, and the blade
// leans into the block: a right-handed cook draws it so from the left end.
type plane struct {
	theta, phi float64 // degrees
	n          r3.Vec
	d          float64
}

// newPlane is the plane at the two angles through p.
func newPlane(theta, phi float64, p r3.Vec) plane {
	sinT, cosT := sincosDeg(theta)
	sinP, cosP := sincosDeg(phi)
	n := r3.Vec{X: sinT * sinP, Y: cosT * sinP, Z: -cosP}
	return plane{theta, phi, n, r3.Dot(n, p)}
}

// sincosDeg is exact at 90 degrees, so that an upright blade is upright.
func sincosDeg(deg float64) (sin, cos float64) {
	if deg == 90 {
		return 1, 0
	}
	return math.Sincos(deg * math.Pi / 180)
}

// flat gives a point of the plane in its own axes: along the blade's trace and
// up the blade.
func (c plane) flat(p r3.Vec) r2.Vec {
	sinT, cosT := sincosDeg(c.theta)
	sinP, cosP := sincosDeg(c.phi)
	return r2.Vec{
		X: -cosT*p.X + sinT*p.Y,
		Y: sinT*cosP*p.X + cosT*cosP*p.Y + sinP*p.Z,
	}
}

// corners of a section, in order round it.
func (s Station) corners() [4]r2.Vec {
	return [4]r2.Vec{{X: s.Near}, {X: s.Far}, {X: s.Far, Y: s.Height}, {X: s.Near, Y: s.Height}}
}

// level is how far the section's corner lies beyond the plane (n·p - d).
func (c plane) level(x float64, yz r2.Vec) float64 { return c.n.X*x + c.n.Y*yz.X + c.n.Z*yz.Y - c.d }

// edgeX is where the plane meets the four edges along the block: near and far
// on the board, far and near on top. ok is false where it misses one, that is
// where the cut runs out through an end of the block.
func (b Block) edgeX(c plane) (xs [4]float64, ok bool) {
	from, to := b.reach(c, c)
	for k := range xs {
		found := false
		for i := from; i < to && !found; i++ {
			p, q := b.stations[i-1], b.stations[i]
			lp, lq := c.level(p.X, p.corners()[k]), c.level(q.X, q.corners()[k])
			if lp <= 0 && lq >= 0 && lq > lp {
				xs[k], found = p.X+(q.X-p.X)*lp/(lp-lq), true
			}
		}
		if !found {
			return xs, false
		}
	}
	return xs, true
}

// reach gives the stretches, numbered by the station at their end, that may lie
// beyond one plane and before the other: to is the first that does not. n points
// along the block, so that all of it before from lies before the first plane.
func (b Block) reach(last, c plane) (from, to int) {
	lo, _ := b.spread(last)
	_, hi := b.spread(c)
	at := func(x float64) int {
		i, _ := slices.BinarySearchFunc(b.stations, x, func(s Station, x float64) int { return cmp.Compare(s.X, x) })
		return i
	}
	const room = 1e-6 // mm, for rounding
	return max(at(lo-room), 1), min(at(hi+room)+1, len(b.stations))
}

// spread is the stretch of x within which the plane crosses the block.
func (b Block) spread(c plane) (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for _, yz := range b.box.corners() {
		x := (c.d - c.n.Y*yz.X - c.n.Z*yz.Y) / c.n.X
		lo, hi = min(lo, x), max(hi, x)
	}
	return lo, hi
}

// volumeBefore is the volume, mm³, of the block on the start's side of the
// plane.
func (b Block) volumeBefore(c plane) float64 {
	from, to := b.reach(c, c)
	if from >= len(b.stations) {
		return b.Volume()
	}
	v := b.before[from-1]
	for i := from; i < to; i++ {
		v += stretchBefore(c, b.stations[i-1], b.stations[i])
	}
	return v
}

// stretchBefore is the volume of one stretch between stations on the start's
// side of the plane. Between the places where the plane meets the four edges
// the section's part is a quadratic in x, so that two-point Gauss quadrature,
// exact to the third degree, gives it exactly.
func stretchBefore(c plane, p, q Station) float64 {
	const node = 0.5773502691896257 // 1/√3
	breaks := []float64{p.X, q.X}
	before, beyond := 0, 0
	for k := range 4 {
		lp, lq := c.level(p.X, p.corners()[k]), c.level(q.X, q.corners()[k])
		switch {
		case lp <= 0 && lq <= 0:
			before++
		case lp >= 0 && lq >= 0:
			beyond++
		default:
			breaks = append(breaks, p.X+(q.X-p.X)*lp/(lp-lq))
		}
	}
	switch {
	case before == 4:
		return stretchVolume(p, q)
	case beyond == 4:
		return 0
	}
	slices.Sort(breaks)
	stretch := Block{stations: []Station{p, q}}
	var v float64
	for i := 1; i < len(breaks); i++ {
		mid, half := (breaks[i]+breaks[i-1])/2, (breaks[i]-breaks[i-1])/2
		v += half * (stretch.areaBefore(c, mid-node*half) + stretch.areaBefore(c, mid+node*half))
	}
	return v
}

// areaBefore is the area, mm², of the section at x on the start's side of the
// plane: a rectangle clipped by a line.
func (b Block) areaBefore(c plane, x float64) float64 {
	corners := b.Section(x).corners()
	var area float64 // twice, by the shoelace formula
	var first, last r2.Vec
	n := 0
	add := func(p r2.Vec) {
		if n == 0 {
			first = p
		} else {
			area += r2.Cross(last, p)
		}
		last = p
		n++
	}
	for i, p := range corners {
		q := corners[(i+1)%4]
		lp, lq := c.level(x, p), c.level(x, q)
		if lp <= 0 {
			add(p)
		}
		if lp < 0 && lq > 0 || lp > 0 && lq < 0 {
			add(r2.Add(p, r2.Scale(lp/(lp-lq), r2.Sub(q, p))))
		}
	}
	if n < 3 {
		return 0
	}
	return (area + r2.Cross(last, first)) / 2
}
