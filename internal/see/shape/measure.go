package shape

import (
	"cmp"
	"errors"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// Measures are the sizes of one outline, mm and mm².
type Measures struct {
	Length, Width               float64 // medians of chords over the middle half
	OverallLength, OverallWidth float64 // extents along and across the long axis
	Area, Perimeter             float64
	Taper                       float64     // (wide - narrow) / mean of the fitted width, 0 for a parallelogram
	Profile                     [21]float64 // perpendicular chords at 0, 5, …, 100 % of the extent along the axis
	Axis                        r2.Vec      // unit vector along the long axis
	Centroid                    r2.Vec      // of the area
}

// Errors of Measure.
var (
	ErrTooFew    = errors.New("outline has fewer than three points")
	ErrNotFinite = errors.New("outline has a point that is not a number")
	ErrNoArea    = errors.New("outline encloses no area")
	ErrCrossing  = errors.New("outline crosses or touches itself")
)

// Measure takes the measures of an outline. The long axis lies at right angles
// to the direction in which the caliper width is least; that direction is
// square to an edge of the convex hull (Freeman and Shapira 1975).
func Measure(o Outline) (Measures, error) {
	if err := o.check(); err != nil {
		return Measures{}, err
	}
	m := Measures{Area: o.Area(), Perimeter: o.Perimeter(), Centroid: o.Centroid(), Axis: o.longAxis()}
	q := o.turned(m.Axis)
	b := q.Bounds()
	m.OverallLength, m.OverallWidth = b.Max.X-b.Min.X, b.Max.Y-b.Min.Y
	along := newCutter(q)
	across := newCutter(q.swapped())
	m.Width = middleChord(along, b.Min.X, b.Max.X)
	m.Length = middleChord(across, b.Min.Y, b.Max.Y)
	for i := range m.Profile {
		f := math.Max(atEnd, math.Min(float64(i)/20, 1-atEnd))
		m.Profile[i] = along.chord(b.Min.X + m.OverallLength*f)
	}
	m.Taper = along.taper(b.Min.X, b.Max.X)
	return m, nil
}

// atEnd is how far inside the outline, as a share of its extent, the end chords
// of the profile are taken. At the very end of a square-cut slice the chord is
// the whole edge or nothing, as rounding falls.
const atEnd = 1e-9

// middleChord is the median of 51 chords over the middle half of lo..hi.
func middleChord(c cutter, lo, hi float64) float64 {
	const n = 51
	chords := make([]float64, n)
	for i := range chords {
		f := 0.25 + 0.5*float64(i)/(n-1)
		chords[i] = c.chord(lo + f*(hi-lo))
	}
	slices.Sort(chords)
	return chords[n/2]
}

// taper fits a straight line to the chords between 10 % and 90 % of lo..hi and
// returns its fall over that range by the mean chord.
func (c cutter) taper(lo, hi float64) float64 {
	const n = 81
	var sx, sy, sxx, sxy float64
	for i := range n {
		x := 0.1 + 0.8*float64(i)/(n-1)
		y := c.chord(lo + x*(hi-lo))
		sx, sy, sxx, sxy = sx+x, sy+y, sxx+x*x, sxy+x*y
	}
	if sy <= 0 {
		return 0
	}
	slope := (n*sxy - sx*sy) / (n*sxx - sx*sx)
	return math.Abs(slope) * 0.8 / (sy / n)
}

// cutter cuts an outline square to x: edges are sorted by where they begin, so
// that a chord looks at few of them.
type cutter struct {
	edges []edge
	width float64 // greatest extent of one edge in x
}

type edge struct{ x0, y0, x1, y1 float64 } // x0 ≤ x1

func newCutter(o Outline) cutter {
	c := cutter{edges: make([]edge, 0, len(o))}
	for i, p := range o {
		q := o[(i+1)%len(o)]
		if q.X < p.X {
			p, q = q, p
		}
		if q.X > p.X {
			c.edges = append(c.edges, edge{p.X, p.Y, q.X, q.Y})
			c.width = math.Max(c.width, q.X-p.X)
		}
	}
	slices.SortFunc(c.edges, func(a, b edge) int { return cmp.Compare(a.x0, b.x0) })
	return c
}

// chord is the total length of the cut through the outline at x.
func (c cutter) chord(x float64) float64 {
	var buf [8]float64
	ys := buf[:0]
	from, _ := slices.BinarySearchFunc(c.edges, x-c.width, func(e edge, v float64) int { return cmp.Compare(e.x0, v) })
	for _, e := range c.edges[from:] {
		if e.x0 > x {
			break
		}
		if x < e.x1 { // half open: a vertex counts once
			ys = append(ys, e.y0+(x-e.x0)/(e.x1-e.x0)*(e.y1-e.y0))
		}
	}
	slices.Sort(ys)
	var sum float64
	for i := 0; i+1 < len(ys); i += 2 {
		sum += ys[i+1] - ys[i]
	}
	return sum
}

// Doubt returns how much length and width, mm, would change if the outline were
// off by the given tolerance, mm, and another direction had the least caliper
// width. A triangle has three such directions nearly tied, a square two.
func (o Outline) Doubt(m Measures, tolerance float64) (length, width float64) {
	const apart = 0.3 * math.Pi / 180 // directions closer than this are one
	h := o.Hull()
	var tried []float64
	for i, p := range h {
		d := r2.Sub(h[(i+1)%len(h)], p)
		angle := math.Mod(math.Atan2(r2.Cross(m.Axis, d), r2.Dot(m.Axis, d))+2*math.Pi, math.Pi)
		if angle < apart || angle > math.Pi-apart || h.caliper(r2.Unit(d)) > m.OverallWidth+tolerance ||
			slices.ContainsFunc(tried, func(a float64) bool { return math.Abs(a-angle) < apart }) {
			continue
		}
		tried = append(tried, angle)
		q := o.turned(r2.Unit(d))
		b := q.Bounds()
		length = math.Max(length, math.Abs(middleChord(newCutter(q.swapped()), b.Min.Y, b.Max.Y)-m.Length))
		width = math.Max(width, math.Abs(middleChord(newCutter(q), b.Min.X, b.Max.X)-m.Width))
	}
	return length, width
}
