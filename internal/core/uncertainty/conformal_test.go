package uncertainty

import (
	"errors"
	"math/rand/v2"
	"testing"

	"netagauge/internal/core/fatal"
)

// Of 19 scores 95 % asks for the largest, of 99 for the 95th: ⌈20·0.95⌉ and
// ⌈100·0.95⌉, by hand from Lei et al. 2018, section 2.2; of 18 there is none.
func TestFactorByHand(t *testing.T) {
	scores := func(n int) []float64 {
		out := make([]float64, n)
		for i, k := range rand.New(rand.NewPCG(1, 0)).Perm(n) {
			out[i] = float64(k + 1)
		}
		return out
	}
	for n, want := range map[int]float64{19: 19, 99: 95, 100: 96} {
		if got, err := Factor(scores(n), 0.95); err != nil || got != want {
			t.Errorf("of %d scores the factor is %g (%v), want %g", n, got, err, want)
		}
	}
	if k, err := Factor(scores(18), 0.95); !errors.Is(err, ErrTooFew) {
		t.Errorf("18 scores give %g (%v), want a refusal", k, err)
	}
}

// The guarantee: whatever the distribution, the next one is covered in at least
// the share asked for, and in at most 1/(n+1) more where there are no ties.
func TestFactorCoversTheNext(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 0))
	for name, draw := range map[string]func() float64{
		"exponential":  r.ExpFloat64,
		"heavy tailed": func() float64 { return 1 / (1 - r.Float64()) },
	} {
		const rounds, n = 4000, 39
		held := 0
		for range rounds {
			scores := make([]float64, n)
			for i := range scores {
				scores[i] = draw()
			}
			k, err := Factor(scores, 0.95)
			fatal.If(t, err)
			if draw() <= k {
				held++
			}
		}
		// 38 of 40 exactly; 0.012 is 3.5 standard deviations of 4000 rounds.
		close(t, name+": share covered", float64(held)/rounds, 0.95, 0.012)
	}
}

// Clopper and Pearson by the relation to the binomial: at the lower end k or more
// of n come with 2.5 %, at the upper k or fewer. 0 of n in closed form: the upper
// end is 1 - 0.025^(1/n). 7 of 20: 0.1539 to 0.5922, R's binom.test (from memory).
func TestProportion(t *testing.T) {
	low, high := Proportion(7, 20)
	close(t, "7 of 20, low", low, 0.1539, 1e-4)
	close(t, "7 of 20, high", high, 0.5922, 1e-4)
	low, high = Proportion(0, 30)
	close(t, "0 of 30, low", low, 0, 0)
	close(t, "0 of 30, high", high, 0.1157, 1e-4)
	low, high = Proportion(30, 30)
	close(t, "30 of 30, low", low, 1-0.1157, 1e-4)
	close(t, "30 of 30, high", high, 1, 0)
}
