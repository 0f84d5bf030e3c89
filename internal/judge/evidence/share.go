package evidence

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"netagauge/internal/core/uncertainty"
)

// Part is so many of so many, such as good slices of all.
type Part struct{ N, Of int }

// Share is n of all, from 0 to 1; 0 of none.
func (p Part) Share() float64 {
	if p.Of == 0 {
		return 0
	}
	return float64(p.N) / float64(p.Of)
}

// Exact is the share with the interval of C. J. Clopper and E. S. Pearson (Biometrika
// 26, 1934, 404-413), which holds the truth at least 95 times in 100, however few
// there are, for so many slices as they are worth (Effect). Of none anything may be.
func (p Part) Exact(e Effect) Interval {
	n := e.worth(p)
	low, high := uncertainty.Proportion(p.Share()*n, n)
	return Interval{p.Share(), low, high}
}

// Above is the confidence, from 0 to 1, with which the true share is no less than a
// mark: the highest at which Clopper and Pearson's one-sided lower bound still reaches
// the mark, 1 - P(N or more | mark). With every one of n good that is 1 - markⁿ.
func (p Part) Above(mark float64, e Effect) float64 {
	switch {
	case mark <= 0:
		return 1
	case p.N == 0 || mark >= 1:
		return 0
	}
	n := e.worth(p)
	good := p.Share() * n
	return 1 - distuv.Beta{Alpha: good, Beta: n - good + 1}.CDF(mark)
}

// score is the interval of E. B. Wilson (J. Am. Stat. Assoc. 22, 1927, 209-212).
func (p Part) score(e Effect) (low, high float64) {
	n, s := e.worth(p), p.Share()
	middle := 2*n*s + z*z
	half := z * math.Sqrt(z*z+4*n*s*(1-s))
	return (middle - half) / (2 * (n + z*z)), (middle + half) / (2 * (n + z*z))
}

// Shares is by how much the share of after lies above that of before, by the hybrid
// score interval (R. G. Newcombe, Statistics in Medicine 17, 1998, 873-890, method
// 10). Without any on a side it is not known.
func Shares(before, after Part, e Effect) (Interval, bool) {
	if before.Of == 0 || after.Of == 0 {
		return Interval{}, false
	}
	a, b := after.Share(), before.Share()
	lowA, highA := after.score(e)
	lowB, highB := before.score(e)
	return Interval{a - b, a - b - math.Hypot(a-lowA, highB-b), a - b + math.Hypot(highA-a, b-lowB)}, true
}
