package report

import (
	"math"
	"slices"
)

// chord is a straight cut through an outline, from edge to edge, mm.
type chord [2][2]float64

// chords cuts an outline at right angles to its long axis at 0, 5, …, 100 % of
// its extent along it, to be drawn; the numbers in the report are shape's. An
// outline cut more than once there is cut from its first edge to its last.
func chords(outline [][2]float64, axisDeg float64) []chord {
	sin, cos := math.Sincos(axisDeg * math.Pi / 180)
	along := make([]float64, len(outline))
	across := make([]float64, len(outline))
	for i, q := range outline {
		along[i], across[i] = q[0]*cos+q[1]*sin, -q[0]*sin+q[1]*cos
	}
	low, high := slices.Min(along), slices.Max(along)
	out := make([]chord, 21)
	for k := range out {
		s := low + (high-low)*float64(k)/20
		first, last := crossings(along, across, s)
		out[k] = chord{{s*cos - first*sin, s*sin + first*cos}, {s*cos - last*sin, s*sin + last*cos}}
	}
	return out
}

// crossings are the least and greatest place across at which the outline
// passes s.
func crossings(along, across []float64, s float64) (first, last float64) {
	first, last = math.Inf(1), math.Inf(-1)
	note := func(v float64) { first, last = math.Min(first, v), math.Max(last, v) }
	for i := range along {
		j := (i + 1) % len(along)
		a, b := along[i], along[j]
		if a == s {
			note(across[i])
		}
		if (a < s) != (b < s) {
			note(across[i] + (across[j]-across[i])*(s-a)/(b-a))
		}
	}
	if first > last { // rounding put s a hair beyond the end
		nearest := 0
		for i := range along {
			if math.Abs(along[i]-s) < math.Abs(along[nearest]-s) {
				nearest = i
			}
		}
		return across[nearest], across[nearest]
	}
	return first, last
}
