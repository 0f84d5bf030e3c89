package weight

import "math/rand/v2"

// newNormal draws from the standard normal distribution, the same each run.
func newNormal(seed uint64) func() float64 {
	r := rand.New(rand.NewPCG(seed, 0))
	return r.NormFloat64
}
