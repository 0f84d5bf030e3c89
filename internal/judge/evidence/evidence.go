// Package evidence says what a few slices tell of a hand: how far two judges agree,
// what share of the slices is good, what has changed, what drifts along a run. Each
// answer comes with the interval that holds the truth 95 times in 100, rather than
// with a test's p alone. It is pure arithmetic, carries whatever unit the values have
// and refuses samples that are too small by saying that it does not know.
package evidence

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"

	"netagauge/internal/core/uncertainty"
)

// level is the confidence of every interval here, as of all others in the program.
const level = 0.95

// Interval is an estimate with its 95 % interval.
type Interval struct{ Value, Low, High float64 }

// Clear reports whether the interval leaves 0 out: the change, or the drift, is more
// than chance would make 95 times in 100.
func (i Interval) Clear() bool { return i.Low > 0 || i.High < 0 }

// around is an interval that reaches as far to either side.
func around(value, half float64) Interval { return Interval{value, value - half, value + half} }

// z is the normal quantile of a two-sided interval.
var z = distuv.UnitNormal.Quantile((1 + level) / 2)

// Spread sums up values: how many, their mean and the standard deviation of a sample,
// which of one value is 0.
type Spread struct {
	N        int
	Mean, SD float64
}

// SpreadOf sums values up.
func SpreadOf(values []float64) Spread {
	ones := make([]Spread, len(values))
	for i, v := range values {
		ones[i] = Spread{N: 1, Mean: v}
	}
	return Pooled(ones)
}

// Pooled sums up all the values that parts sum up: the squares about their mean are those
// within the parts and those between them. Of values that are all the same the mean is
// that value and the deviation 0, to the last digit.
func Pooled(parts []Spread) (all Spread) {
	parts = slices.DeleteFunc(slices.Clone(parts), func(p Spread) bool { return p.N == 0 })
	if len(parts) == 0 {
		return all
	}
	off := 0.0 // from the first mean
	for _, p := range parts {
		all.N += p.N
		off += float64(p.N) * (p.Mean - parts[0].Mean)
	}
	all.Mean = parts[0].Mean + off/float64(all.N)
	squares := 0.0
	for _, p := range parts {
		off := p.Mean - all.Mean
		squares += float64(p.N-1)*p.SD*p.SD + float64(p.N)*off*off
	}
	all.SD = math.Sqrt(squares / float64(max(all.N-1, 1)))
	return all
}

// Means is by how much the mean of after lies above that of before, in their unit, by
// Welch's interval for samples of different spread (B. L. Welch, Biometrika 34, 1947,
// 28-35, with the degrees of freedom of F. E. Satterthwaite, Biometrics Bulletin 2,
// 1946, 110-114). Fewer than two values on a side, or two sides without any spread,
// tell nothing: false.
func Means(before, after Spread) (Interval, bool) {
	if before.N < 2 || after.N < 2 {
		return Interval{}, false
	}
	v, w := before.SD*before.SD/float64(before.N), after.SD*after.SD/float64(after.N)
	if v+w == 0 {
		return Interval{}, false
	}
	freedom := (v + w) * (v + w) / (v*v/float64(before.N-1) + w*w/float64(after.N-1))
	return around(after.Mean-before.Mean, uncertainty.Student(freedom)*math.Sqrt(v+w)), true
}

// Drift is the slope of y over x by least squares, in y's unit for each of x's, with
// the interval of Student's distribution on n-2 degrees of freedom (N. R. Draper, H.
// Smith, Applied Regression Analysis, 1.4, from memory). Fewer than four points, or
// points that all lie at one x, tell nothing: false.
func Drift(x, y []float64) (Interval, bool) {
	const least = 4 // our setting: two points leave no freedom, three hardly any
	if len(x) != len(y) || len(x) < least {
		return Interval{}, false
	}
	mean, variance := stat.MeanVariance(x, nil)
	if variance == 0 {
		return Interval{}, false
	}
	n := float64(len(x))
	squares := variance * (n - 1)
	slope := stat.Covariance(x, y, nil) / variance
	height := stat.Mean(y, nil)
	var rest float64
	for i := range x {
		r := y[i] - height - slope*(x[i]-mean)
		rest += r * r
	}
	return around(slope, uncertainty.Student(n-2)*math.Sqrt(rest/(n-2)/squares)), true
}
