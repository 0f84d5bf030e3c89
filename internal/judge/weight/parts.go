package weight

import (
	"netagauge/internal/core/piece"
	"netagauge/internal/core/uncertainty"
)

// Parts splits a weight's budget into what people told of the slice and what the
// photos show of it, both expanded, g. How the walls lean is always seen: a lay that is
// told is of two of them.
func Parts(budget []uncertainty.Share, s piece.Seen) (told, seen float64) {
	for _, x := range budget {
		if x.Source == sourceArea || x.Source == sourceScale || x.Source == sourceLean || x.Source == sourceThickness && s.Two {
			seen = uncertainty.Combine(seen, x.U)
		} else {
			told = uncertainty.Combine(told, x.U)
		}
	}
	return told, seen
}
