package plan

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/shape"
)

// size of a face, by the definitions that a checked slice is measured by: the
// long axis is at right angles to the direction of the least caliper width;
// length and width are the medians of the chords along and across it, over the
// middle half of the extent. It takes more chords than package shape does: the
// planner's steps to the wanted size need them smooth.
func size(face []r2.Vec) (length, width float64) {
	axis := shape.Outline(face).LongAxis()
	across := r2.Vec{X: -axis.Y, Y: axis.X}
	return medianChord(face, axis, across), medianChord(face, across, axis)
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

// medianChord is the median of the chords along dir, over the middle half of
// the extent along across. On a slanted face the chords may change by 1 mm in
// every hundredth of the extent, hence their number.
func medianChord(ps []r2.Vec, dir, across r2.Vec) float64 {
	const n = 801
	lo, hi := extent(ps, across)
	var chords [n]float64
	for i := range chords {
		at := lo + (hi-lo)*(0.25+0.5*(float64(i)+0.5)/n)
		chords[i] = chord(ps, dir, across, at)
	}
	slices.Sort(chords[:])
	return chords[n/2]
}

// chord is how much of the line at the given distance along across lies within
// the polygon: where the outline crosses it one way less where it crosses back.
func chord(ps []r2.Vec, dir, across r2.Vec, at float64) float64 {
	var sum float64
	prev := ps[len(ps)-1]
	before := r2.Dot(prev, across) - at
	for _, p := range ps {
		after := r2.Dot(p, across) - at
		if (before < 0) != (after < 0) {
			x := r2.Dot(prev, dir) + r2.Dot(r2.Sub(p, prev), dir)*before/(before-after)
			if after < 0 {
				x = -x
			}
			sum += x
		}
		prev, before = p, after
	}
	return math.Abs(sum)
}
