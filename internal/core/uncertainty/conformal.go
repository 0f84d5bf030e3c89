package uncertainty

import (
	"errors"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

// ErrTooFew says that a factor is asked for from less than it takes: 19 results
// for 95 %.
var ErrTooFew = errors.New("too few results whose truth is known for such a share")

// Factor is what intervals must be multiplied by to hold the truth in a share of
// all cases, from scores of results whose truth is known: the least factor that
// holds it, for each of them. It is the ⌈(n+1)·share⌉-th smallest, as in split
// conformal prediction (Vovk, Gammerman and Shafer, Algorithmic Learning in a
// Random World, 2005; Lei, G'Sell, Rinaldo, Tibshirani and Wasserman, JASA 113,
// 2018, 1094–1111): it holds for any distribution, as long as the next result is
// like those. Group by group it holds in each group (Vovk's Mondrian form).
func Factor(scores []float64, share float64) (float64, error) {
	rank := int(math.Ceil(float64(len(scores)+1) * share))
	if rank > len(scores) || rank < 1 {
		return 0, ErrTooFew
	}
	sorted := slices.Sorted(slices.Values(scores))
	return sorted[rank-1], nil
}

// Proportion is the interval, 95 %, of the chance behind k of n (Clopper and
// Pearson, Biometrika 26, 1934, 404–413): never narrower than it claims. They need
// not be whole: slices that are alike count for fewer. Of none anything may be.
func Proportion(k, n float64) (low, high float64) {
	const tail = 0.025
	low, high = 0, 1
	if k > 0 {
		low = distuv.Beta{Alpha: k, Beta: n - k + 1}.Quantile(tail)
	}
	if k < n {
		high = distuv.Beta{Alpha: k + 1, Beta: n - k}.Quantile(1 - tail)
	}
	return low, high
}
