package chart

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
)

// Ratio is a capability index with its 95 % interval.
type Ratio struct{ Value, Low, High float64 }

// Capability compares the spread of a process with the limits asked for. Cp and
// Cpk use the spread within subgroups, Pp and Ppk that of all values together.
type Capability struct {
	Cp, Cpk, Pp, Ppk Ratio
	Count            int // values behind it
}

// CapabilityOf computes the indices for values in subgroups, sigma the standard
// deviation within them, and the lower and upper specification limit:
// Cp = (high − low) / 6σ, Cpk = min(high − mean, mean − low) / 3σ.
//
// The interval of Cp is the exact one from chi-squared with N − 1 degrees of
// freedom; that of Cpk is Bissell's approximation (Applied Statistics 39, 1990,
// 331-340). Both are the published ones and treat sigma as if it came from N
// values at once; with the sigma within subgroups they are a little too narrow.
func CapabilityOf(groups [][]float64, sigma, low, high float64) (Capability, error) {
	var all []float64
	for _, g := range groups {
		all = append(all, g...)
	}
	if len(all) < 2 {
		return Capability{}, fmt.Errorf("capability needs at least two values; there are %d", len(all))
	}
	if !(low < high) {
		return Capability{}, fmt.Errorf("limits %g to %g leave no room", low, high)
	}
	mean, overall := stat.MeanStdDev(all, nil)
	if sigma <= 0 || overall <= 0 {
		return Capability{}, ErrNoSpread
	}
	c := Capability{Count: len(all)}
	c.Cp, c.Cpk = indices(mean, sigma, low, high, len(all))
	c.Pp, c.Ppk = indices(mean, overall, low, high, len(all))
	return c, nil
}

const lowest, highest = 0.025, 0.975 // quantiles of two-sided 95 %

func indices(mean, sigma, low, high float64, n int) (p, pk Ratio) {
	df := float64(n - 1)
	chi := distuv.ChiSquared{K: df}
	v := (high - low) / (6 * sigma)
	p = Ratio{v, v * math.Sqrt(chi.Quantile(lowest)/df), v * math.Sqrt(chi.Quantile(highest)/df)}
	k := min(high-mean, mean-low) / (3 * sigma)
	half := distuv.UnitNormal.Quantile(highest) * math.Sqrt(1/(9*float64(n))+k*k/(2*df))
	return p, Ratio{k, k - half, k + half}
}

// SeeShift is the chance that one subgroup of n shows, beyond the 3-sigma
// limits of an X-bar chart, that the mean has moved by shift standard
// deviations: Φ(−3 + δ√n) + Φ(−3 − δ√n).
func SeeShift(n int, shift float64) float64 {
	d := math.Abs(shift) * math.Sqrt(float64(n))
	return distuv.UnitNormal.CDF(-3+d) + distuv.UnitNormal.CDF(-3-d)
}

// SizeToSee is the smallest subgroup that shows a shift at once with the given
// chance, or false when MaxSubgroup is too few.
func SizeToSee(shift, chance float64) (int, bool) {
	for n := 1; n <= MaxSubgroup; n++ {
		if SeeShift(n, shift) >= chance {
			return n, true
		}
	}
	return 0, false
}

// Surplus is what slices weigh above their aim, for 100 of them.
type Surplus struct {
	Grams, GramsU float64 // expanded, k = 2, from the scatter of the weights
	Cost          float64 // at the price given; 0 without one
}

// SurplusPer100 compares the mean of weights in g with the aim in g at a price
// per kg. A mean below the aim gives a negative surplus.
func SurplusPer100(weights []float64, aim, pricePerKg float64) (Surplus, error) {
	if len(weights) < 2 {
		return Surplus{}, fmt.Errorf("the surplus needs at least two weights; there are %d", len(weights))
	}
	mean, sd := stat.MeanStdDev(weights, nil)
	g := 100 * (mean - aim)
	return Surplus{g, 100 * 2 * sd / math.Sqrt(float64(len(weights))), g / 1000 * pricePerKg}, nil
}
