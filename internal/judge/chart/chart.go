// Package chart holds the arithmetic of Shewhart control charts for subgroups
// (X-bar and s), of run rules, of process capability and of what a
// mean above its aim costs. It works in whatever unit its values have; sigma is
// always the standard deviation within subgroups unless said otherwise. It
// never draws, reads files, or decides what to do about a signal.
//
// Formulas after Montgomery, Introduction to Statistical Quality Control, as
// used in the tables of Pyzdek, The Handbook for Quality Management, app. A.
package chart

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat"
)

// Point is one subgroup on a chart, with the limits that hold for its size.
// Unit is the standard error of the plotted statistic, so that
// (Value − Centre) / Unit tells in which zone the point lies.
type Point struct {
	Value, Centre, Low, High, Unit float64
}

// Outside reports whether the point lies beyond its limits.
func (p Point) Outside() bool { return p.Value < p.Low || p.Value > p.High }

// Pair is a chart of means and the chart of spread that goes with it.
type Pair struct {
	Mean, Spread []Point
	Centre       float64 // grand mean of the base subgroups
	Sigma        float64 // within subgroups, from the base subgroups
}

// Subgroup sums up the values of one: the standard deviation is that of a sample.
type Subgroup struct {
	N        int
	Mean, SD float64
}

// XBarS charts means and standard deviations. The limits come from the first
// base subgroups, or from all when base is 0. Subgroups may differ in size;
// each has two values or more.
func XBarS(groups [][]float64, base int) (Pair, error) {
	if err := check(groups, base); err != nil {
		return Pair{}, err
	}
	all := make([]Subgroup, len(groups))
	for i, g := range groups {
		all[i] = Subgroup{len(g), stat.Mean(g, nil), stat.StdDev(g, nil)}
	}
	return Charts(all, base), nil
}

// Charts is XBarS for subgroups that are summed up: at least two, of two values or
// more, of which base or, with 0, all set the limits.
func Charts(groups []Subgroup, base int) Pair {
	if base == 0 {
		base = len(groups)
	}
	var p Pair
	n := 0
	for _, g := range groups[:base] {
		p.Centre += g.Mean * float64(g.N)
		p.Sigma += g.SD / C4(g.N)
		n += g.N
	}
	p.Centre /= float64(n)
	p.Sigma /= float64(base)
	for _, g := range groups {
		c4 := C4(g.N)
		p.Mean = append(p.Mean, point(g.Mean, p.Centre, p.Sigma/math.Sqrt(float64(g.N))))
		s := point(g.SD, c4*p.Sigma, math.Sqrt(1-c4*c4)*p.Sigma)
		s.Low = max(0, s.Low)
		p.Spread = append(p.Spread, s)
	}
	return p
}

// MaxSubgroup is the largest subgroup that a chart takes: more slices than fit
// on any mat.
const MaxSubgroup = 200

// C4 is the mean of the sample standard deviation of n values from a normal
// distribution with sigma 1: √(2/(n−1)) Γ(n/2) / Γ((n−1)/2).
func C4(n int) float64 {
	a, _ := math.Lgamma(float64(n) / 2)
	b, _ := math.Lgamma(float64(n-1) / 2)
	return math.Sqrt(2/float64(n-1)) * math.Exp(a-b)
}

func point(v, centre, unit float64) Point {
	return Point{Value: v, Centre: centre, Low: centre - 3*unit, High: centre + 3*unit, Unit: unit}
}

func check(groups [][]float64, base int) error {
	if base == 0 {
		base = len(groups)
	}
	if base < 2 || base > len(groups) {
		return fmt.Errorf("a chart needs at least two subgroups to set its limits; there are %d, and %d are asked for", len(groups), base)
	}
	for i, g := range groups {
		if len(g) < 2 || len(g) > MaxSubgroup {
			return fmt.Errorf("subgroup %d has %d values; a chart needs 2 to %d in each", i+1, len(g), MaxSubgroup)
		}
		for _, v := range g {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				return fmt.Errorf("subgroup %d has a value that is not a number", i+1)
			}
		}
	}
	return nil
}

// ErrNoSpread says that all values are the same, so that no ratio to the
// spread exists.
var ErrNoSpread = errors.New("the values do not differ, so there is no spread to compare with")
