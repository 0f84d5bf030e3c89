package fan

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// Where the slices' ends make the flanks of a row, a seam leaves a notch: the outline
// turns inwards there.
const (
	notchStep  = 0.5 // mm between the points that are looked at
	notchReach = 6   // of them to either side, to tell which way the outline runs
	notchTurn  = math.Pi / 6
	// What a notch costs that no seam can have left, as evidence: of 52 rendered rows
	// one in five has any.
	notchCost = 2.0
)

// Notched reports whether an outline turns inwards anywhere, as no slice alone does.
func Notched(outline []r2.Vec) bool { return notches(outline, r2.Vec{X: 1}) > 0 }

// notches is how many a row that runs along a direction has on the flank that has
// more: those of the inner flank of a fan hide behind each other.
func notches(outline []r2.Vec, along r2.Vec) int {
	points := evenly(outline)
	n := len(points)
	if n < 4*notchReach {
		return 0
	}
	var middle r2.Vec
	turns, around := make([]float64, n), 0.0
	for i, p := range points {
		a, b := r2.Sub(p, points[(i+n-notchReach)%n]), r2.Sub(points[(i+notchReach)%n], p)
		turns[i] = math.Atan2(r2.Cross(a, b), r2.Dot(a, b))
		around += turns[i]
		middle = r2.Add(middle, r2.Scale(1/float64(n), p))
	}
	var flanks [2]int
	for i, p := range points {
		if !isNotch(turns, i, math.Copysign(1, -around)) {
			continue
		}
		if r2.Cross(along, r2.Sub(p, middle)) > 0 {
			flanks[0]++
		} else {
			flanks[1]++
		}
	}
	return max(flanks[0], flanks[1])
}

// isNotch reports whether the outline turns inwards at a point, and more than
// anywhere near; inwards is the sign of such a turn.
func isNotch(turns []float64, i int, inwards float64) bool {
	n, here := len(turns), inwards*turns[i]
	for d := -2 * notchReach; d <= 2*notchReach; d++ {
		there := inwards * turns[(i+d+n)%n]
		if there > here || there == here && d < 0 {
			return false
		}
	}
	return here > notchTurn
}

// evenly are points of an outline a step apart.
func evenly(outline []r2.Vec) (out []r2.Vec) {
	next := 0.0
	for i, a := range outline {
		side := r2.Sub(outline[(i+1)%len(outline)], a)
		long := r2.Norm(side)
		for ; next < long; next += notchStep {
			out = append(out, r2.Add(a, r2.Scale(next/long, side)))
		}
		next -= long
	}
	return out
}

// tell is what so many notches on a flank say for a row of n slices, as evidence: the
// logarithm of their odds where each seam leaves one with a chance that is drawn for
// the row from a beta distribution (4, 1), most of them near 1. Of so many seams k
// leave one with the chance 4 (k+1)(k+2)(k+3) / ((m+1)(m+2)(m+3)(m+4)). None at all
// tell nothing: slices may lie so straight that no seam leaves any.
func tell(notches, n int) float64 {
	if notches == 0 {
		return 0
	}
	m := float64(n - 1)
	k := min(float64(notches), m)
	odds := 4 * (k + 1) * (k + 2) * (k + 3) / ((m + 1) * (m + 2) * (m + 3) * (m + 4))
	return math.Log(odds) - notchCost*max(0, float64(notches)-m)
}
