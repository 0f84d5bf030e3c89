package shape

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// Parallelogram is the one that fits an outline best: its two pairs of sides are
// the straight lines, parallel two by two, from which the outline's edge differs
// least (least squares of the distances, iterated, each point counting for the side
// it lies nearest to). Corners are rounded in every slice, so the last sevenths of
// a side do not count. Lengths are in mm.
type Parallelogram struct {
	Skew      float64 // 90° minus its smaller angle, degrees
	Lean      float64 // how far its ends go along the axis for each mm across, x to y
	Long, End float64 // its sides
	Rough     float64 // root mean square distance of the sides' points from them
	Misfit    float64 // area between it and the outline, as a share of the outline's
}

// Beyond these an outline is no parallelogram. Our settings: a misfit of 0.05 is a
// taper of 0.16, and an ellipse has more than 0.1; the ends of a slice less wide
// than 15 mm are too short to tell a direction.
const (
	mostMisfit = 0.05
	leastEnd   = 15.0 // mm
)

// Parallelogram fits one to an outline with the long axis given. It reports false
// where none fits: the outline tapers, is rounded, ragged or small.
func (o Outline) Parallelogram(axis r2.Vec) (Parallelogram, bool) {
	b := o.turned(axis).Bounds()
	across := r2.Vec{X: -axis.Y, Y: axis.X}
	mid := r2.Scale(0.5, r2.Add(b.Min, b.Max))
	f := fit{
		u: axis, v: across, long: b.Max.X - b.Min.X, end: b.Max.Y - b.Min.Y,
		centre: r2.Add(r2.Scale(mid.X, axis), r2.Scale(mid.Y, across)),
	}
	points := o.resampled(4 * 100)
	for range 50 {
		next, ok := f.refined(points)
		if !ok {
			return Parallelogram{}, false
		}
		done := math.Abs(r2.Cross(next.u, f.u)) < 1e-10 && math.Abs(r2.Cross(next.v, f.v)) < 1e-10
		if f = next; done {
			break
		}
	}
	sine := math.Abs(r2.Cross(f.u, f.v))
	out := Parallelogram{Skew: math.Acos(math.Min(1, sine)) * 180 / math.Pi, Lean: r2.Dot(f.u, f.v) / r2.Cross(f.u, f.v), Long: f.long, End: f.end, Rough: f.rough}
	for _, p := range points {
		x, y := f.in(p)
		out.Misfit += sine * math.Min(math.Abs(x-f.long/2), math.Abs(y-f.end/2)) / float64(len(points))
	}
	out.Misfit *= o.Perimeter() / o.Area()
	return out, out.Misfit <= mostMisfit && math.Min(f.long, f.end) >= leastEnd
}

// fit is a parallelogram by its middle, the unit directions of its sides and their
// lengths.
type fit struct {
	centre, u, v     r2.Vec
	long, end, rough float64
}

// in is where a point lies along the sides, from the middle, without its signs: on
// a long side y is half of end, on an end x half of long.
func (f fit) in(p r2.Vec) (x, y float64) {
	d, s := r2.Sub(p, f.centre), r2.Cross(f.u, f.v)
	return math.Abs(r2.Cross(d, f.v) / s), math.Abs(r2.Cross(f.u, d) / s)
}

// straight is how much of a side, from its middle to a corner, counts.
const straight = 5.0 / 7

// refined fits the sides to the points that lie nearest to each. It reports false
// where a side has none.
func (f fit) refined(points []r2.Vec) (fit, bool) {
	var long, ends pair
	for _, p := range points {
		x, y := f.in(p)
		switch toEnd, toLong := math.Abs(x-f.long/2), math.Abs(y-f.end/2); {
		case toLong < toEnd && x < straight*f.long/2:
			long.add(p, r2.Cross(f.u, r2.Sub(p, f.centre)) > 0)
		case toEnd <= toLong && y < straight*f.end/2:
			ends.add(p, r2.Cross(f.v, r2.Sub(p, f.centre)) > 0)
		}
	}
	if !long.whole() || !ends.whole() {
		return f, false
	}
	u, offLong := long.direction()
	v, offEnds := ends.direction()
	s := r2.Cross(u, v)
	// A point of the middle has the mean offset from both pairs of lines.
	l0, l1 := r2.Cross(u, long.mean(0)), r2.Cross(u, long.mean(1))
	e0, e1 := r2.Cross(v, ends.mean(0)), r2.Cross(v, ends.mean(1))
	centre := r2.Scale(1/s, r2.Sub(r2.Scale((l0+l1)/2, v), r2.Scale((e0+e1)/2, u)))
	n := float64(len(long.side[0]) + len(long.side[1]) + len(ends.side[0]) + len(ends.side[1]))
	return fit{centre, u, v, math.Abs((e1 - e0) / s), math.Abs((l1 - l0) / s), math.Sqrt((offLong + offEnds) / n)}, true
}

// pair is the points of two sides that run along each other.
type pair struct{ side [2][]r2.Vec }

func (p *pair) add(q r2.Vec, second bool) {
	k := 0
	if second {
		k = 1
	}
	p.side[k] = append(p.side[k], q)
}

func (p pair) whole() bool { return len(p.side[0]) > 1 && len(p.side[1]) > 1 }

func (p pair) mean(k int) r2.Vec {
	var m r2.Vec
	for _, q := range p.side[k] {
		m = r2.Add(m, r2.Scale(1/float64(len(p.side[k])), q))
	}
	return m
}

// direction is the one of two parallel lines from which the points differ least,
// and the sum of the squared distances: the principal axis of the scatter of each
// side about its own middle.
func (p pair) direction() (r2.Vec, float64) {
	var xx, xy, yy float64
	for k := range p.side {
		m := p.mean(k)
		for _, q := range p.side[k] {
			d := r2.Sub(q, m)
			xx, xy, yy = xx+d.X*d.X, xy+d.X*d.Y, yy+d.Y*d.Y
		}
	}
	sin, cos := math.Sincos(math.Atan2(2*xy, xx-yy) / 2)
	return r2.Vec{X: cos, Y: sin}, math.Max(0, xx*sin*sin-2*xy*sin*cos+yy*cos*cos)
}

// resampled is n points along the outline, equally far apart.
func (o Outline) resampled(n int) []r2.Vec {
	out := make([]r2.Vec, 0, n)
	step := o.Perimeter() / float64(n)
	next := step / 2
	var gone float64
	for i, p := range o {
		d := r2.Sub(o[(i+1)%len(o)], p)
		long := r2.Norm(d)
		for ; next < gone+long; next += step {
			out = append(out, r2.Add(p, r2.Scale((next-gone)/long, d)))
		}
		gone += long
	}
	return out
}
