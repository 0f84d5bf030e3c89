package segment

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/core/rank"
)

// A wall that faces the eye is darker than the face, and the mat lights it. So where the
// edge is blurred over half of either, less than half looks like fish, and half-way
// colour lies inside the edge: by 0.12 mm on rendered trays where 0.3 to 1 mm of an
// upright wall is seen, by 0.01 mm where none is. How much of the face's light is left
// beside it tells by how far, as fitted on 140,000 places of 72 rendered trays.
const (
	darkAt    = 1.5   // sigmas of the blur inside half-way colour
	darkNone  = 0.933 // of the face's light there beside a step without a wall: Φ(1.5)
	darkMoves = 1.6   // sigmas of the blur by the share of the face's light that is missing
	darkMost  = 1.0   // sigmas
)

// fishLight is how much of a pixel's light comes from fish, by the fish's own.
func (m mixture) fishLight(p colour) float64 {
	return (m.of(p)*m.bareL - m.bareU*p.l) / (m.fishU*m.bareL - m.bareU*m.fishL)
}

// litAt is the light of fish at a place of a profile, in samples.
func (m mixture) litAt(prof []colour, at float64) float64 {
	at = math.Max(0, math.Min(float64(len(prof)-1), at))
	i := min(int(at), len(prof)-2)
	f := at - float64(i)
	return (1-f)*m.fishLight(prof[i]) + f*m.fishLight(prof[i+1])
}

// pastDark moves points outward from where a dark wall has half-way colour, each as far as
// it and its neighbours tell.
func (t *tracer) pastDark(pts []point) {
	for i := range pts {
		var lit, count float64
		for k := range neighbours(pts, i) {
			if pts[k].found {
				lit, count = lit+pts[k].lit, count+1
			}
		}
		if count > 0 {
			by := t.blur * math.Max(-darkMost, math.Min(darkMost, darkMoves*(darkNone-lit/count)))
			pts[i].at = r2.Add(pts[i].at, r2.Scale(by, pts[i].normal))
		}
	}
}

// How much narrow walls darken an edge was measured on photos whose edges are blurred by
// so much, mm, one standard deviation; what sharper and softer ones would show is not known.
const darkSharpest, darkSoftest = 0.22, 0.36

// tellsDark reports whether the light beside an edge tells of walls as it was measured to.
func (t *tracer) tellsDark() bool {
	return t.smear == 0 && t.blur >= darkSharpest && t.blur <= darkSoftest
}

// lit is the light that fish has beside a side's edge, NaN where it was not seen.
func (s side) lit(pts []point) float64 {
	var seen []float64
	for _, i := range s.places {
		if p := pts[i]; p.found && p.water == 0 {
			seen = append(seen, p.lit)
		}
	}
	if len(seen) < leastProfiles {
		return math.NaN()
	}
	return rank.Median(seen)
}

// bareEdges is the share of a tray's sides that may show a wall for the others to tell
// how light an edge without one is.
const bareEdges = 0.25

// byTray takes how dark the sides are by that of sides where no wall is seen.
func byTray(pieces []Piece) {
	var all []float64
	for _, p := range pieces {
		for _, w := range p.Walls {
			if !math.IsNaN(w.Dark) {
				all = append(all, w.Dark)
			}
		}
	}
	if len(all) == 0 {
		return
	}
	slices.Sort(all)
	none := all[int(bareEdges*float64(len(all)))]
	for _, p := range pieces {
		for i := range p.Walls {
			p.Walls[i].Dark -= none
		}
	}
}
