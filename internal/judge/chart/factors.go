package chart

import (
	"math"
	"sync"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/stat/distuv"
)

// MaxSubgroup is the largest subgroup that a chart takes: more slices than fit
// on any mat.
const MaxSubgroup = 200

// Factors are the published control-chart constants for subgroups of one size.
type Factors struct {
	A2, A3     float64 // X-bar limits from the mean range, from the mean s
	B3, B4     float64 // s limits
	D3, D4     float64 // R limits
	C4, D2     float64 // mean of s and of R for sigma 1
	SDOfRange  float64 // d3: standard deviation of R for sigma 1
	SubgroupOf int
}

// FactorsFor returns the constants for subgroups of n, 2 to MaxSubgroup.
func FactorsFor(n int) Factors {
	c4, d2, d3, root := C4(n), D2(n), D3(n), math.Sqrt(float64(n))
	b := 3 * math.Sqrt(1-c4*c4) / c4
	return Factors{
		A2: 3 / (d2 * root), A3: 3 / (c4 * root),
		B3: max(0, 1-b), B4: 1 + b,
		D3: max(0, 1-3*d3/d2), D4: 1 + 3*d3/d2,
		C4: c4, D2: d2, SDOfRange: d3, SubgroupOf: n,
	}
}

// C4 is the mean of the sample standard deviation of n values from a normal
// distribution with sigma 1: √(2/(n−1)) Γ(n/2) / Γ((n−1)/2).
func C4(n int) float64 {
	a, _ := math.Lgamma(float64(n) / 2)
	b, _ := math.Lgamma(float64(n-1) / 2)
	return math.Sqrt(2/float64(n-1)) * math.Exp(a-b)
}

// D2 is the mean range of n values from a normal distribution with sigma 1:
// ∫ 1 − Φⁿ − (1−Φ)ⁿ (Tippett 1925, from memory).
func D2(n int) float64 { return rangeMoments(n).mean }

// D3 is the standard deviation of that range, d3 of the tables. (The limits'
// factor D3 of Factors is another constant.)
func D3(n int) float64 { return rangeMoments(n).sd }

type moments struct{ mean, sd float64 }

var moment struct {
	sync.Mutex
	of map[int]moments
}

func rangeMoments(n int) moments {
	moment.Lock()
	defer moment.Unlock()
	if moment.of == nil {
		moment.of = map[int]moments{}
	}
	m, ok := moment.of[n]
	if !ok {
		m = integrateRange(n)
		moment.of[n] = m
	}
	return m
}

// integrateRange uses E[R] as above and E[R²] = 2 ∫∫_{x<y} 1 − Φ(y)ⁿ −
// (1−Φ(x))ⁿ + (Φ(y)−Φ(x))ⁿ dx dy. Beyond ±8 sigma the integrands vanish for
// any n up to MaxSubgroup.
func integrateRange(n int) moments {
	const edge, knots = 8.0, 120
	phi := distuv.UnitNormal.CDF
	pow := func(p float64) float64 { return math.Pow(p, float64(n)) }
	mean := quad.Fixed(func(x float64) float64 { return 1 - pow(phi(x)) - pow(phi(-x)) }, -edge, edge, knots, nil, 0)
	square := 2 * quad.Fixed(func(y float64) float64 {
		return quad.Fixed(func(x float64) float64 {
			return 1 - pow(phi(y)) - pow(phi(-x)) + pow(phi(y)-phi(x))
		}, -edge, y, knots, nil, 0)
	}, -edge, edge, knots, nil, 0)
	return moments{mean, math.Sqrt(square - mean*mean)}
}
