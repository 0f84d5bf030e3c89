package evidence

import (
	"math"

	"netagauge/internal/core/uncertainty"
)

// Effect is how much alike the slices of one tray are. Design is by how many times the
// variance of a share is that of slices drawn one by one (L. Kish's design effect), no
// less than 1; Freedom is how many trays it rests on, less one for each hand. The zero
// Effect is not known: slices count one by one.
type Effect struct {
	Design  float64
	Freedom int
}

// Known reports whether there was anything to tell it by.
func (e Effect) Known() bool { return e.Freedom > 0 }

// EffectOf reckons the effect from trays, those of each hand by themselves, whose shares
// may differ: the variance of the ratio estimator over trays (W. G. Cochran, Sampling
// Techniques, 3rd ed. 1977, 3.12; J. N. K. Rao and A. J. Scott, Biometrics 48, 1992,
// 577-585) by the binomial one, over all hands, each weighted by the latter. It takes
// a hand with two trays, and a share other than none or all.
func EffectOf(hands ...[]Part) Effect {
	var seen, drawn float64
	e := Effect{}
	for _, trays := range hands {
		if k := float64(len(trays)); k >= 2 {
			all := Sum(trays)
			seen += k / (k - 1) * squares(trays, all.Share())
			drawn += float64(all.Of) * all.Share() * (1 - all.Share())
			e.Freedom += len(trays) - 1
		}
	}
	if drawn == 0 {
		return Effect{}
	}
	e.Design = math.Max(1, seen/drawn)
	return e
}

// Sum is all of the trays together.
func Sum(trays []Part) (all Part) {
	for _, t := range trays {
		all.N, all.Of = all.N+t.N, all.Of+t.Of
	}
	return all
}

// squares are those of what trays have more than a share would give them.
func squares(trays []Part, share float64) (out float64) {
	for _, t := range trays {
		more := float64(t.N) - share*float64(t.Of)
		out += more * more
	}
	return out
}

// worth is how many slices drawn one by one would tell as much: those that are there by
// the design effect, fewer still where that rests on few trays (E. L. Korn and B. I.
// Graubard, Survey Methodology 24, 1998, 193-201), and never more.
func (e Effect) worth(p Part) float64 {
	n := float64(p.Of)
	if !e.Known() || n < 2 {
		return n
	}
	few := uncertainty.Student(n-1) / uncertainty.Student(float64(e.Freedom))
	return math.Min(n, n/e.Design*few*few)
}
