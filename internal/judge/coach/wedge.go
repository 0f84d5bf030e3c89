package coach

import (
	"math"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
)

// WedgeMost is the difference in thickness that a hand leaves, mm. Our setting.
const WedgeMost = 0.6

// wedge is by how much a slice is thicker at one end than at the other, mm, and
// along one side than the other, where that is beyond the hand's and beyond doubt;
// 0 else. Only two photos show it.
func wedge(p piece.Piece) (along, across float64) {
	beyond := func(v piece.Value) float64 {
		if x := math.Abs(v.X); x > WedgeMost && x > v.U {
			return x
		}
		return 0
	}
	return beyond(p.WedgeAlong), beyond(p.WedgeAcross)
}

// Wedge is what to do about a slice that is thicker at one end or side; nil for an
// even one.
func Wedge(p piece.Piece) phrase.Text { return wedgeText(wedge(p)) }

func wedgeText(along, across float64) phrase.Text {
	var out phrase.Text
	if along > 0 {
		out = phrase.Of("wedge-along", along)
	}
	if across > 0 {
		if out != nil {
			out = out.And(phrase.Of("also"))
		}
		out = out.And(phrase.Of("wedge-across", across))
	}
	return out
}

// wedgeTip speaks for all slices that are uneven at once; a single one is no
// habit. No house standard asks for even slices yet, so it is said last.
func wedgeTip(ps []piece.Piece) tip {
	var alongs, acrosses []float64
	n := 0
	for _, p := range ps {
		along, across := wedge(p)
		if along == 0 && across == 0 {
			continue
		}
		n++
		if along > 0 {
			alongs = append(alongs, along)
		}
		if across > 0 {
			acrosses = append(acrosses, across)
		}
	}
	if n < 2 {
		return tip{}
	}
	says := phrase.Of("wedges-some", float64(n), float64(len(ps)))
	if n == len(ps) {
		says = phrase.Of("wedges-all", float64(n))
	}
	return tip{1, says.And(wedgeText(mean(alongs), mean(acrosses)))}
}

// mean is 0 of nothing.
func mean(v []float64) float64 {
	var sum float64
	for _, x := range v {
		sum += x
	}
	return sum / math.Max(1, float64(len(v)))
}
