package stereo

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// Step is a long edge that lies lower than the other, as both outlines tell it:
// the koba's, which a camera sees below the face.
type Step struct {
	Side int     // -1 or 1 across the long axis; 0 where the outlines tell nothing
	Drop float64 // below the face, mm
	Gain float64 // by how much it explains the outlines better than walls of any run, in log likelihood
}

// alongSide is how straight outward, across the slice, the outline of a long
// side must face: the cosine of some 30°.
const alongSide = 0.85

// shareStep is the step between the drops tried, by the face's height.
const shareStep = 0.04

// step compares a lower edge on either long side with walls that lean. upper are
// the heights of both edges, mm, if there is no koba.
//
// A laid knife moves what is seen of both sides, a koba only its own: this is
// what tells them apart, where texture shows a slope but not which of the two.
func (e Edge) step(upper [2]float64, across r2.Vec) Step {
	sides := e.longSides(across)
	if len(sides[0]) == 0 || len(sides[1]) == 0 {
		return Step{}
	}
	height := (upper[0]+upper[1])/2 + edgeRound
	cost := func(k int, e, run float64) float64 {
		return float64(len(sides[k])) * meanCost(sides[k], e, r2.Scale(run, across), math.Inf(1))
	}
	var best Step
	plain, least := math.Inf(1), math.Inf(1)
	for run := -2 * height; run <= 2*height; run += 0.25 { // mm: rough, what counts is which side is lower
		whole := [2]float64{cost(0, upper[0], run), cost(1, upper[1], run)}
		plain = math.Min(plain, whole[0]+whole[1])
		for k, side := range []int{-1, 1} {
			for share := kobaFrom; share <= kobaTo; share += shareStep {
				if c := whole[1-k] + cost(k, upper[k]-share*height, run); c < least {
					best, least = Step{Side: side, Drop: share * height}, c
				}
			}
		}
	}
	best.Gain = (plain - least) / float64(len(sides[0])+len(sides[1])) / wallCost
	return best
}

// longSides are the places of the outline on the two long sides, the one against
// the direction across first.
func (e Edge) longSides(across r2.Vec) (out [2][]gap) {
	for _, g := range e.gaps {
		switch d := r2.Dot(g.n, across); {
		case d < -alongSide:
			out[0] = append(out[0], g)
		case d > alongSide:
			out[1] = append(out[1], g)
		}
	}
	return out
}
