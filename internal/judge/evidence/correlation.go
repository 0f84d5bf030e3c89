package evidence

import (
	"math"

	"gonum.org/v1/gonum/stat"
)

// Along is the correlation of x and y beyond what a third, such as time, brings to both:
// the partial one, with the interval of R. A. Fisher's transformation (Metron 1, 1921,
// 3-32), which for a partial correlation counts one pair fewer (Metron 3, 1924,
// 329-332). Fewer than six pairs, or values that do not differ, tell nothing: false.
func Along(x, y, third []float64) (Interval, bool) {
	const least = 6 // our setting: five leave a variance of 1, which no correlation outgrows
	if len(x) != len(y) || len(x) != len(third) || len(x) < least {
		return Interval{}, false
	}
	xy, xt, yt := stat.Correlation(x, y, nil), stat.Correlation(x, third, nil), stat.Correlation(y, third, nil)
	r := (xy - xt*yt) / math.Sqrt((1-xt*xt)*(1-yt*yt))
	if math.IsNaN(r) || math.IsInf(r, 0) {
		return Interval{}, false
	}
	r = math.Max(-1, math.Min(1, r))
	half := z / math.Sqrt(float64(len(x)-1-3))
	return Interval{r, math.Tanh(math.Atanh(r) - half), math.Tanh(math.Atanh(r) + half)}, true
}
