package chart

import "slices"

// Signal is a run rule that a chart breaks, at the point that completes it.
type Signal struct {
	Point int    // index of the subgroup, from 0
	Rule  string // the rule's published name and number
	Says  string // the pattern, a key of the phrasebook
}

// rule looks back from the last of a window of zones: how many standard errors
// each point lies above the centre.
type rule struct {
	name, says string
	span       int
	broken     func(window []float64) bool
}

// WesternElectric are the four tests of the Western Electric Statistical
// Quality Control Handbook (1956), for charts of means.
var WesternElectric = []rule{
	{"Western Electric 1", "rule-out", 1, share(1, 3)},
	{"Western Electric 2", "rule-2-of-3", 3, share(2, 2)},
	{"Western Electric 3", "rule-4-of-5", 5, share(4, 1)},
	{"Western Electric 4", "rule-8-side", 8, share(8, 0)},
}

// Nelson are the eight tests of L. S. Nelson, The Shewhart Control Chart: Tests
// for Special Causes, Journal of Quality Technology 16(4), 1984, 237-239, for
// charts of means.
var Nelson = []rule{
	{"Nelson 1", "rule-out", 1, share(1, 3)},
	{"Nelson 2", "rule-9-side", 9, share(9, 0)},
	{"Nelson 3", "rule-6-steady", 6, steady},
	{"Nelson 4", "rule-14-turns", 14, alternating},
	{"Nelson 5", "rule-2-of-3", 3, share(2, 2)},
	{"Nelson 6", "rule-4-of-5", 5, share(4, 1)},
	{"Nelson 7", "rule-15-within", 15, func(w []float64) bool { return countIf(w, within1) == len(w) }},
	{"Nelson 8", "rule-8-both", 8, func(w []float64) bool {
		return countIf(w, within1) == 0 && slices.Min(w) < 0 && slices.Max(w) > 0
	}},
}

// BeyondLimits is the one test for charts of spread, whose statistic is not
// distributed evenly about its centre.
var BeyondLimits = WesternElectric[:1]

// Signals returns every point that completes a rule's pattern, in the order of
// the points. A chart without spread gives none.
func Signals(points []Point, rules []rule) []Signal {
	zones := make([]float64, len(points))
	for i, p := range points {
		if p.Unit <= 0 {
			return nil
		}
		zones[i] = (p.Value - p.Centre) / p.Unit
	}
	var out []Signal
	for i := range zones {
		for _, r := range rules {
			if i+1 >= r.span && r.broken(zones[i+1-r.span:i+1]) {
				out = append(out, Signal{i, r.name, r.says})
			}
		}
	}
	return out
}

// share is broken when at least k points of the window, the last among them,
// lie beyond sigma on the last one's side.
func share(k int, sigma float64) func([]float64) bool {
	return func(w []float64) bool {
		last := w[len(w)-1]
		side := 1.0
		if last < 0 {
			side = -1
		}
		beyond := func(z float64) bool { return side*z > sigma }
		return beyond(last) && countIf(w, beyond) >= k
	}
}

func within1(z float64) bool { return z >= -1 && z <= 1 }

func countIf(w []float64, f func(float64) bool) int {
	n := 0
	for _, z := range w {
		if f(z) {
			n++
		}
	}
	return n
}

func steady(w []float64) bool {
	up, down := true, true
	for i := 1; i < len(w); i++ {
		up, down = up && w[i] > w[i-1], down && w[i] < w[i-1]
	}
	return up || down
}

func alternating(w []float64) bool {
	for i := 2; i < len(w); i++ {
		if (w[i]-w[i-1])*(w[i-1]-w[i-2]) >= 0 {
			return false
		}
	}
	return true
}
