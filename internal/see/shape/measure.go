package shape

import (
	"errors"
	"math"
	"netagauge/internal/core/rank"
	"slices"

	"netagauge/internal/core/solid"

	"gonum.org/v1/gonum/spatial/r2"
)

// Size is how large an outline is, mm and mm².
type Size struct {
	Length, Width float64 // medians of chords over the middle half
	Area          float64
}

// Measures are all that is measured of one outline, mm and mm².
type Measures struct {
	Size
	OverallLength, OverallWidth float64 // extents along and across the long axis
	Perimeter                   float64
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
	m, err := MeasureSimple(o)
	if err == nil && !o.IsSimple() {
		return Measures{}, ErrCrossing
	}
	return m, err
}

// MeasureSimple is Measure of an outline known not to cross itself.
func MeasureSimple(o Outline) (Measures, error) {
	if err := o.checkArea(); err != nil {
		return Measures{}, err
	}
	m := Measures{Perimeter: o.Perimeter(), Centroid: o.Centroid(), Axis: o.simpleAxis()}
	m.Size = o.size(m.Axis)
	q := o.turned(m.Axis)
	b := q.Bounds()
	m.OverallLength, m.OverallWidth = b.Max.X-b.Min.X, b.Max.Y-b.Min.Y
	places := evenly(len(m.Profile), 0, 1, b.Min.X, b.Max.X)
	places[0], places[len(places)-1] = b.Min.X+atEnd*m.OverallLength, b.Max.X-atEnd*m.OverallLength
	copy(m.Profile[:], q.chords(places))
	m.Taper = q.taper(b.Min.X, b.Max.X)
	return m, nil
}

// MeasureSize is Measure for the size alone, of an outline known not to cross itself.
func MeasureSize(o Outline) (Size, error) {
	if err := o.checkArea(); err != nil {
		return Size{}, err
	}
	return o.size(o.simpleAxis()), nil
}

// simpleAxis is the long axis of an outline known not to cross itself.
func (o Outline) simpleAxis() r2.Vec { return Outline(solid.HullOfSimple(o)).axis() }

// size is how large the outline is with an axis as its long one.
func (o Outline) size(axis r2.Vec) Size {
	q := o.turned(axis)
	b := q.Bounds()
	s := Size{Width: q.middleChord(b.Min.X, b.Max.X), Area: o.Area()}
	q.swap()
	s.Length = q.middleChord(b.Min.Y, b.Max.Y)
	return s
}

// atEnd is how far inside the outline, as a share of its extent, the end chords
// of the profile are taken. At the very end of a square-cut slice the chord is
// the whole edge or nothing, as rounding falls.
const atEnd = 1e-9

// evenly is n places from one share of the way from lo to hi to another.
func evenly(n int, from, to, lo, hi float64) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = lo + (from+(to-from)*float64(i)/float64(n-1))*(hi-lo)
	}
	return out
}

// middleChord is the median of 51 chords over the middle half of lo..hi.
func (o Outline) middleChord(lo, hi float64) float64 {
	const n = 51
	chords := o.chords(evenly(n, 0.25, 0.75, lo, hi)) // as design: the middle half
	return rank.Median(chords)
}

// taper fits a straight line to the chords between 10 % and 90 % of lo..hi and
// returns its fall over that range by the mean chord.
func (o Outline) taper(lo, hi float64) float64 {
	const n = 81
	var sx, sy, sxx, sxy float64
	// The ends are rounded, so 10 % of either are left out.
	for i, y := range o.chords(evenly(n, 0.1, 0.9, lo, hi)) {
		x := 0.1 + 0.8*float64(i)/(n-1) // the same places
		sx, sy, sxx, sxy = sx+x, sy+y, sxx+x*x, sxy+x*y
	}
	if sy <= 0 {
		return 0
	}
	slope := (n*sxy - sx*sy) / (n*sxx - sx*sx)
	return math.Abs(slope) * 0.8 / (sy / n) // over what is left
}

// chords are the total lengths of the cuts through the outline at each of the
// places along x, which rise. Edges that go forth count for the outline, those
// that go back against it, as in the shoelace formula.
func (o Outline) chords(xs []float64) []float64 {
	out := make([]float64, len(xs))
	first := 0 // of the places that the edge reaches; those of the next edge lie near by
	p := o[len(o)-1]
	for _, q := range o {
		a, b, sign := p, q, 1.0
		if b.X < a.X {
			a, b, sign = b, a, -1
		}
		for first > 0 && xs[first-1] >= a.X {
			first--
		}
		for first < len(xs) && xs[first] < a.X {
			first++
		}
		for i := first; i < len(xs) && xs[i] < b.X; i++ { // half open: a vertex counts once
			out[i] += sign * (a.Y + (xs[i]-a.X)/(b.X-a.X)*(b.Y-a.Y))
		}
		p = q
	}
	for i, v := range out {
		out[i] = math.Abs(v)
	}
	return out
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
		other := o.size(r2.Unit(d))
		length = math.Max(length, math.Abs(other.Length-m.Length))
		width = math.Max(width, math.Abs(other.Width-m.Width))
	}
	return length, width
}
