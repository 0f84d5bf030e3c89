package parallax

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// Likely is a lean with its share of the odds.
type Likely struct {
	Lean  r2.Vec
	Share float64
}

// Leans are tried on a grid, which is then drawn together into fewer.
const (
	leanStep  = 0.06
	drawn     = 3     // steps drawn together, in either direction
	leastOdds = 0.004 // what has a smaller share is left out
	side      = 93    // as far as the greatest lean to either side
	nothing   = 40    // below the greatest log odds by so much rounding leaves nothing
)

// Odds are the log odds of every lean on the grid.
type Odds []float64

// Weigh weighs every lean that walls can have by all that is told of it.
func Weigh(tells ...Tells) Odds { return make(Odds, side*side).And(tells...) }

// And are the odds with more that is told.
func (o Odds) And(tells ...Tells) Odds {
	logs := slices.Clone(o)
	for k := range logs {
		lean := leanAt(k)
		for _, tell := range tells {
			logs[k] += tell(lean)
		}
	}
	return logs
}

// hopeless is by how much a lean's log odds may lie below the greatest before it is
// not asked about any more.
const hopeless = 12

// Narrow is And for what takes long to reckon: leans that are hopeless already stay so.
func (o Odds) Narrow(tells ...Tells) Odds {
	logs := slices.Clone(o)
	least := slices.Max(logs) - hopeless
	for k, l := range logs {
		if l < least {
			logs[k] -= nothing
			continue
		}
		lean := leanAt(k)
		for _, tell := range tells {
			logs[k] += tell(lean)
		}
	}
	return logs
}

// Leans draws the odds together. The likeliest lean comes first.
func (logs Odds) Leans() []Likely {
	most := slices.Max(logs)
	const cells = (side + drawn - 1) / drawn
	sums := make([]Likely, cells*cells)
	var all float64
	for k, l := range logs {
		if l < most-nothing {
			continue
		}
		o := math.Exp(l - most)
		c := &sums[k/side/drawn*cells+k%side/drawn]
		c.Lean, c.Share = r2.Add(c.Lean, r2.Scale(o, leanAt(k))), c.Share+o
		all += o
	}
	out := sums[:0]
	for _, c := range sums {
		if c.Share > leastOdds*all {
			out = append(out, Likely{r2.Scale(1/c.Share, c.Lean), c.Share / all})
		}
	}
	slices.SortFunc(out, func(a, b Likely) int { return cmp.Compare(b.Share, a.Share) })
	return out
}

func leanAt(k int) r2.Vec {
	return r2.Vec{X: leanStep * float64(k%side-side/2), Y: leanStep * float64(k/side-side/2)}
}

// Around is the mean of what lies near a lean: what is one hill of odds.
func Around(all []Likely, lean r2.Vec) r2.Vec {
	var sum r2.Vec
	var share float64
	for _, l := range all {
		if r2.Norm(r2.Sub(l.Lean, lean)) < oneHill {
			sum, share = r2.Add(sum, r2.Scale(l.Share, l.Lean)), share+l.Share
		}
	}
	return r2.Scale(1/share, sum)
}

const oneHill = 0.3
