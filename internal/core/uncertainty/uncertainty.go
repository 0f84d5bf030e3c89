// Package uncertainty propagates standard uncertainties from independent inputs
// to a result as in the GUM (JCGM 100:2008) and breaks the result into its
// budget. It is pure arithmetic and knows no units: inputs and result carry
// whatever unit the caller's formula has. It never guesses an uncertainty, and
// it does not handle inputs that depend on each other: give the formula the
// quantities they have in common instead.
package uncertainty

import (
	"cmp"
	"math"
	"slices"
)

// Coverage is the factor k of an expanded uncertainty U = k·u: about 95 % for a
// result that is nearly normal (GUM 6.3.3).
const Coverage = 2

// Value is a number with its standard uncertainty (k = 1), in the same unit.
type Value struct{ X, U float64 }

// Rectangular is x known only to lie within ± half of it, each place equally
// likely: u = half/√3 (GUM 4.3.7).
func Rectangular(x, half float64) Value { return Value{x, half / math.Sqrt(3)} }

// Expanded is U = 2u.
func (v Value) Expanded() float64 { return Coverage * v.U }

// Relative is u/|x|.
func (v Value) Relative() float64 { return v.U / math.Abs(v.X) }

// Input is one quantity that a result depends on. Remedy is the key of what a
// person can do to shrink its uncertainty.
type Input struct {
	Source string
	Value
	Remedy string
}

// Share is what one input brings to the result: U is its expanded contribution
// 2·|c·u| in the unit of the result, Part its share of the variance, 0 to 1.
// Remedy is the sentence of RemedyKey for files; whoever has words fills it in.
type Share struct {
	Source    string  `json:"source"`
	U         float64 `json:"u"`
	Part      float64 `json:"part"`
	Remedy    string  `json:"remedy,omitempty"`
	RemedyKey string  `json:"remedy_key,omitempty"`
}

// Result is a value with its budget, largest part first.
type Result struct {
	Value
	Budget []Share
}

// Propagate evaluates f at the inputs and combines their uncertainties by the
// law of propagation, GUM 5.1.2 eq. (10). The contribution of an input is the
// change of f over ± its standard uncertainty, halved (GUM 5.1.3 note 2); for
// products and sums that is exact. f must not keep or change its argument. A
// not-a-number in the inputs or in f comes out as one.
func Propagate(f func(x []float64) float64, in ...Input) Result {
	x := make([]float64, len(in))
	for i, q := range in {
		x[i] = q.X
	}
	r := Result{Value: Value{X: f(x)}, Budget: make([]Share, len(in))}
	var variance float64
	for i, q := range in {
		c := contribution(f, x, i, q.U)
		variance += c * c
		r.Budget[i] = Share{Source: q.Source, U: Coverage * math.Abs(c), Part: c * c, RemedyKey: q.Remedy}
	}
	r.U = math.Sqrt(variance)
	for i := range r.Budget {
		if variance > 0 {
			r.Budget[i].Part /= variance
		}
	}
	slices.SortStableFunc(r.Budget, func(a, b Share) int { return cmp.Compare(b.Part, a.Part) })
	return r
}

// contribution is half of f's change when input i moves from x-u to x+u.
func contribution(f func([]float64) float64, x []float64, i int, u float64) float64 {
	at := x[i]
	defer func() { x[i] = at }()
	x[i] = at + u
	up := f(x)
	x[i] = at - u
	return (up - f(x)) / 2
}

// OfSpread is the expanded uncertainty of a sample standard deviation from n values:
// its own relative standard deviation is about 1/√(2(n-1)) (GUM E.4.3).
func OfSpread(sd float64, n int) float64 { return Coverage * sd / math.Sqrt(float64(2*(n-1))) }

// Combine is the standard uncertainty of a sum of independent parts.
func Combine(u ...float64) float64 {
	var s float64
	for _, v := range u {
		s = math.Hypot(s, v)
	}
	return s
}
