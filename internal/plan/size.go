package plan

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// size of a face, by the definitions that a checked slice is measured by: the
// long axis is at right angles to the direction of the least caliper width;
// length and width are the medians of the chords along and across it, over the
// middle half of the extent.
func size(face []r2.Vec) (length, width float64) {
	axis := longAxis(face)
	across := r2.Vec{X: -axis.Y, Y: axis.X}
	return medianChord(face, axis, across), medianChord(face, across, axis)
}

// longAxis is the direction of the edge of the convex hull from which the
// hull's far side is nearest.
func longAxis(ps []r2.Vec) r2.Vec {
	ring := hull(ps)
	best, axis := math.Inf(1), r2.Vec{X: 1}
	for i, p := range ring {
		dir := r2.Unit(r2.Sub(ring[(i+1)%len(ring)], p))
		if lo, hi := extent(ring, r2.Vec{X: -dir.Y, Y: dir.X}); hi-lo < best {
			best, axis = hi-lo, dir
		}
	}
	return axis
}

// hull is the convex hull, by Andrew's monotone chain.
func hull(ps []r2.Vec) []r2.Vec {
	sorted := slices.Clone(ps)
	slices.SortFunc(sorted, func(a, b r2.Vec) int { return cmp.Or(cmp.Compare(a.X, b.X), cmp.Compare(a.Y, b.Y)) })
	var out []r2.Vec
	chain := func(keep int) {
		for _, p := range sorted {
			for len(out) >= keep+2 && r2.Cross(r2.Sub(out[len(out)-1], out[len(out)-2]), r2.Sub(p, out[len(out)-1])) <= 0 {
				out = out[:len(out)-1]
			}
			out = append(out, p)
		}
		out = out[:len(out)-1]
	}
	chain(0)
	slices.Reverse(sorted)
	chain(len(out))
	return out
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
