// Package yield tells what became of blocks: how many slices they gave, what was given
// away, and how much fish so many slices take. It measures nothing and keeps nothing.
// Masses are in g, prices by kg in the kitchen's own money.
package yield

import (
	"cmp"
	"math"
	"slices"
	"time"

	"gonum.org/v1/gonum/stat"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/uncertainty"
	"netagauge/internal/judge/evidence"
)

// Block is one, from the moment it was opened.
type Block struct {
	ID                        int64
	Species, Supplier, Cutter string
	Grams                     float64 // as it came
	PerKg                     float64 // price; 0 where none was told
	Planned                   int     // slices by the plan; 0 where none was made
	OpenedAt                  time.Time

	Served      int     // slices
	ServedGrams float64 // of all of them on the scale; 0 where nobody weighed
	LeftGrams   float64 // that can still be cut
	ClosedAt    time.Time
	Remark      string
}

// Open reports whether it is still being cut.
func (b Block) Open() bool { return b.ClosedAt.IsZero() }

// Cut is what was cut of it, g: trim and all, but for what is left.
func (b Block) Cut() float64 { return b.Grams - b.LeftGrams }

// most is more than a block weighs, g.
const most = 500_000

// Check says what is wrong with a block, as a person can mend it.
func (b Block) Check() error {
	switch {
	case !(b.Grams > 0 && b.Grams <= most):
		return phrase.Wrong("block-grams")
	case !(b.PerKg >= 0) || math.IsInf(b.PerKg, 0):
		return phrase.Wrong("block-price")
	case b.Planned < 0 || b.Planned > most:
		return phrase.Wrong("block-planned-number")
	case b.Open():
		return nil
	case b.Served < 0 || b.Served > most:
		return phrase.Wrong("block-served")
	case !(b.LeftGrams >= 0 && b.LeftGrams <= b.Grams):
		return phrase.Wrong("block-left")
	case !(b.ServedGrams >= 0 && b.ServedGrams <= b.Cut()):
		return phrase.Wrong("block-weighed")
	}
	return nil
}

// Row sums up the closed blocks that share a name: a fish, who sold or who cut them.
type Row struct {
	Name           string
	Blocks, Slices int
	Planned        int                // of those blocks that had a plan
	OfPlanned      int                // slices served of these
	Cut            float64            // g
	PerSlice       evidence.Interval  // g of block for a slice served
	Yield          *evidence.Interval // share of what was cut that was served, by the scale; nil where nobody weighed
}

// By sums up blocks by a name of theirs, the most often cut first. Blocks that are open,
// or gave no slice, tell nothing yet.
func By(blocks []Block, name func(Block) string) []Row {
	groups := map[string][]Block{}
	for _, b := range blocks {
		if !b.Open() && b.Served > 0 && b.Cut() > 0 {
			groups[name(b)] = append(groups[name(b)], b)
		}
	}
	var out []Row
	for n, those := range groups {
		out = append(out, row(n, those))
	}
	slices.SortFunc(out, func(a, b Row) int { return cmp.Or(cmp.Compare(b.Slices, a.Slices), cmp.Compare(a.Name, b.Name)) })
	return out
}

func row(name string, blocks []Block) Row {
	r := Row{Name: name, Blocks: len(blocks)}
	var served, cut, weighed, of []float64
	for _, b := range blocks {
		r.Slices += b.Served
		r.Cut += b.Cut()
		if b.Planned > 0 {
			r.Planned += b.Planned
			r.OfPlanned += b.Served
		}
		served, cut = append(served, float64(b.Served)), append(cut, b.Cut())
		if b.ServedGrams > 0 {
			weighed, of = append(weighed, b.ServedGrams), append(of, b.Cut())
		}
	}
	r.PerSlice = ratio(cut, served)
	if len(weighed) > 0 {
		y := ratio(weighed, of)
		r.Yield = &y
	}
	return r
}

// ratio is the sum of a over the sum of b with its 95 % interval, by the residuals of the
// ratio estimator (W. G. Cochran, Sampling Techniques, 3rd edition 1977, 2.11 and 6.4,
// from memory) and Student's factor. A single block has no interval: both ends are its
// own value.
func ratio(a, b []float64) evidence.Interval {
	n := float64(len(a))
	r := sum(a) / sum(b)
	var squares float64
	for i := range a {
		d := a[i] - r*b[i]
		squares += d * d
	}
	if n < 2 {
		return evidence.Interval{Value: r, Low: r, High: r}
	}
	half := uncertainty.Student(n-1) * math.Sqrt(squares/(n-1)/n) / (sum(b) / n)
	return evidence.Interval{Value: r, Low: r - half, High: r + half}
}

func sum(v []float64) (s float64) {
	for _, x := range v {
		s += x
	}
	return s
}

// fewest blocks that tell how much to order. Our setting.
const fewest = 3

// Order is how many grams of block so many slices will take, 95 times in 100 within the
// interval, from blocks of the same fish; false with too few of them. It foretells the
// mean of as many blocks as it takes (G. J. Hahn, W. Q. Meeker, Statistical Intervals,
// 1991, 4.7, from memory): blocks differ from each other, and the more are needed the
// more that evens out.
func Order(blocks []Block, n int) (evidence.Interval, bool) {
	var perSlice, grams []float64
	for _, b := range blocks {
		if !b.Open() && b.Served > 0 && b.Cut() > 0 {
			perSlice, grams = append(perSlice, b.Cut()/float64(b.Served)), append(grams, b.Cut())
		}
	}
	if len(perSlice) < fewest || n < 1 {
		return evidence.Interval{}, false
	}
	mean, sd := stat.MeanStdDev(perSlice, nil)
	need := math.Max(1, float64(n)*mean/stat.Mean(grams, nil)) // blocks
	half := uncertainty.Student(float64(len(perSlice)-1)) * sd * math.Sqrt(1/float64(len(perSlice))+1/need)
	of := float64(n)
	return evidence.Interval{Value: of * mean, Low: math.Max(0, of*(mean-half)), High: of * (mean + half)}, true
}

// Week is what overweight gave away in one week.
type Week struct {
	Monday time.Time
	Slices int
	Over   float64 // g above the aim, of all slices; below 0 where they were lighter
	Cost   float64 // of that, in the kitchen's money
}

// Weeks sums up by week of closing the blocks whose slices were weighed and whose price
// is known, the latest first; aim is what a slice of the block's fish is to weigh.
func Weeks(blocks []Block, aim func(species string) float64) []Week {
	weeks := map[time.Time]*Week{}
	for _, b := range blocks {
		if b.Open() || b.Served == 0 || b.ServedGrams == 0 || b.PerKg == 0 {
			continue
		}
		day := b.ClosedAt.Local()
		monday := time.Date(day.Year(), day.Month(), day.Day()-(int(day.Weekday())+6)%7, 0, 0, 0, 0, time.Local)
		w := weeks[monday]
		if w == nil {
			w = &Week{Monday: monday}
			weeks[monday] = w
		}
		over := b.ServedGrams - float64(b.Served)*aim(b.Species)
		w.Slices += b.Served
		w.Over += over
		w.Cost += over * b.PerKg / 1000
	}
	var out []Week
	for _, w := range weeks {
		out = append(out, *w)
	}
	slices.SortFunc(out, func(a, b Week) int { return b.Monday.Compare(a.Monday) })
	return out
}
