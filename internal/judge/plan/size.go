package plan

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/see/shape"
)

// size by the definitions that a checked slice is measured by: the long axis is
// at right angles to the direction of the least caliper width; length and width
// are the medians of the chords along and across it, over the middle half of
// the extent.
func (o outline) size() (length, width float64) {
	axis := shape.Outline(slices.Concat(o...)).LongAxis()
	across := r2.Vec{X: -axis.Y, Y: axis.X}
	return o.medianChord(axis, across), o.medianChord(across, axis)
}

// extent is the range of ps along a unit vector.
func extent(ps []r2.Vec, along r2.Vec) (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for _, p := range ps {
		v := r2.Dot(p, along)
		lo, hi = min(lo, v), max(hi, v)
	}
	return lo, hi
}

// run is a stretch over which the chord changes straight from one length to
// another.
type run struct{ width, from, to float64 }

// medianChord is the median of the chords along dir, over the middle half of
// the extent along across. Between the outline's corners a chord runs straight,
// so that the median needs no dense row of them: the planner's steps to the
// wanted size need it smooth.
func (o outline) medianChord(dir, across r2.Vec) float64 {
	var runs []run
	stops := o.stops(across)
	for i := 1; i < len(stops); i++ {
		lo, hi := stops[i-1], stops[i]
		a, b := o.chord(dir, across, lo+(hi-lo)/4), o.chord(dir, across, hi-(hi-lo)/4)
		runs = append(runs, run{hi - lo, a - (b-a)/2, b + (b-a)/2})
	}
	return median(runs)
}

// stops are the corners' places along a unit vector, in the middle half of the
// extent, and the ends of that half.
func (o outline) stops(along r2.Vec) []float64 {
	lo, hi := extent(slices.Concat(o...), along)
	lo, hi = lo+(hi-lo)/4, hi-(hi-lo)/4
	out := []float64{lo, hi}
	for _, part := range o {
		for _, p := range part {
			if v := r2.Dot(p, along); v > lo && v < hi {
				out = append(out, v)
			}
		}
	}
	slices.Sort(out)
	return slices.CompactFunc(out, func(a, b float64) bool { return math.Abs(b-a) < 1e-9 })
}

// median is the length that half of the chords do not exceed, found by halving.
func median(runs []run) float64 {
	lo, hi, whole := math.Inf(1), 0.0, 0.0
	for _, r := range runs {
		lo, hi, whole = min(lo, r.from, r.to), max(hi, r.from, r.to), whole+r.width
	}
	for hi-lo > 1e-9 {
		mid, below := (lo+hi)/2, 0.0
		for _, r := range runs {
			below += r.width * r.share(mid)
		}
		if below < whole/2 {
			lo = mid
		} else {
			hi = mid
		}
	}
	return hi
}

// share of the run's chords that are no longer than v.
func (r run) share(v float64) float64 {
	least, most := min(r.from, r.to), max(r.from, r.to)
	switch {
	case v >= most:
		return 1
	case v <= least:
		return 0
	}
	return (v - least) / (most - least)
}

// chord is how much of the line at the given distance along across lies within
// the outline; where parts overlap it counts once.
func (o outline) chord(dir, across r2.Vec, at float64) float64 {
	var buf [16][2]float64
	spans := buf[:0]
	for _, part := range o {
		if lo, hi, ok := span(part, dir, across, at); ok {
			spans = append(spans, [2]float64{lo, hi})
		}
	}
	slices.SortFunc(spans, func(a, b [2]float64) int { return cmp.Compare(a[0], b[0]) })
	sum, end := 0.0, math.Inf(-1)
	for _, s := range spans {
		sum += max(s[1]-max(s[0], end), 0)
		end = max(end, s[1])
	}
	return sum
}

// span is where the line crosses a convex part.
func span(part shape.Outline, dir, across r2.Vec, at float64) (lo, hi float64, ok bool) {
	lo, hi = math.Inf(1), math.Inf(-1)
	prev := part[len(part)-1]
	before := r2.Dot(prev, across) - at
	for _, p := range part {
		after := r2.Dot(p, across) - at
		if (before < 0) != (after < 0) {
			x := r2.Dot(prev, dir) + r2.Dot(r2.Sub(p, prev), dir)*before/(before-after)
			lo, hi = min(lo, x), max(hi, x)
		}
		prev, before = p, after
	}
	return lo, hi, lo < hi
}
