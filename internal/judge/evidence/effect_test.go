package evidence

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
)

// trays pairs counts with sizes.
func trays(n, of []int) (out []Part) {
	for i := range n {
		out = append(out, Part{n[i], of[i]})
	}
	return out
}

// W. G. Cochran, Sampling Techniques, 3rd ed. 1977, 3.12: of the 104 persons of 30
// households 30 had seen a doctor; the variance of the share is 0.00520 by the ratio
// estimator, 0.00197 by the binomial formula. Sizes and sums (of squares 86 and 404, of
// products 113), on which alone the variance rests, are the table's, from memory; which
// household had which count is made up to them.
func TestEffect(t *testing.T) {
	size := []int{5, 6, 3, 3, 2, 3, 3, 3, 4, 4, 3, 2, 7, 4, 3, 5, 4, 4, 3, 3, 4, 3, 3, 1, 2, 4, 3, 4, 2, 4}
	seen := []int{0, 0, 0, 1, 1, 0, 0, 1, 0, 4, 0, 0, 1, 1, 0, 5, 0, 1, 1, 0, 0, 2, 3, 0, 2, 2, 1, 4, 0, 0}
	household := trays(seen, size)
	e := EffectOf(household)
	p := Sum(household)
	binomial := p.Share() * (1 - p.Share()) / float64(p.Of)
	close(t, "binomial variance", binomial, 0.00197, 5e-6)
	close(t, "variance by the ratio estimator", e.Design*binomial, 0.00520, 1e-5)
	if e.Freedom != 29 || !e.Known() {
		t.Errorf("%+v", e)
	}
	if two := EffectOf(household, household); two.Freedom != 58 || math.Abs(two.Design-e.Design) > 1e-12 {
		t.Errorf("the same of two hands: %+v", two)
	}
}

// A hand that is good and one that is poor, each the same on every tray, are not alike
// slices; nor are trays that differ less than chance would have them.
func TestEffectIsOfTraysAndNotOfHands(t *testing.T) {
	good, poor := trays([]int{9, 9, 9}, []int{10, 10, 10}), trays([]int{2, 2, 2}, []int{10, 10, 10})
	if e := EffectOf(good, poor); e != (Effect{1, 4}) {
		t.Errorf("%+v", e)
	}
	if e := EffectOf(append(good, poor...)); e.Design < 4 {
		t.Errorf("as one hand: %+v", e)
	}
	for name, hands := range map[string][][]Part{"nothing": nil, "one tray": {good[:1]}, "all good": {trays([]int{5, 5}, []int{5, 5})}} {
		if e := EffectOf(hands...); e.Known() {
			t.Errorf("%s: %+v", name, e)
		}
	}
}

// n/deff·(t(n-1)/t(freedom))²: Korn and Graubard as the NCHS puts it (Vital and Health
// Statistics 2(175), 2017); Student's factors of JCGM 100:2008, table G.2, and printed
// tables: 2.045 (29 degrees of freedom), 2.26 (9).
func TestWorth(t *testing.T) {
	close(t, "30 slices", Effect{2, 9}.worth(Part{24, 30}), 15*math.Pow(2.0452/2.2622, 2), 0.002)
	for _, e := range []Effect{{}, {1, 1000}} {
		close(t, "no less", e.worth(Part{24, 30}), 30, 1e-9)
	}
	none := Part{0, 48}.Exact(Effect{2, 47})
	close(t, "none of 48, worth 24", none.High, 1-math.Pow(0.025, 1./24), 1e-6)
}

// Shares whose trays differ (beta-binomial, correlation 0.15 within a tray) lie within
// the interval 95 times in 100, where slices counted one by one hold them too rarely.
func TestSharesOfTraysHoldTheTruth(t *testing.T) {
	random := rand.New(rand.NewPCG(7, 12))
	const runs, candidates, each, slices, truth, alike = 1500, 6, 3, 10, 0.8, 0.15
	tray := distuv.Beta{Alpha: truth * (1/alike - 1), Beta: (1 - truth) * (1/alike - 1), Src: random}
	held, alone, changes := 0, 0, 0
	for range runs {
		hands := make([][]Part, candidates)
		for i := range hands {
			for range each {
				good := distuv.Binomial{N: slices, P: tray.Rand(), Src: random}.Rand()
				hands[i] = append(hands[i], Part{int(good), slices})
			}
		}
		e := EffectOf(hands...)
		one, two := Sum(hands[0]), Sum(hands[1])
		holds := func(i Interval, x float64) int {
			if i.Low <= x && x <= i.High {
				return 1
			}
			return 0
		}
		held += holds(one.Exact(e), truth)
		alone += holds(one.Exact(Effect{}), truth)
		change, _ := Shares(one, two, e)
		changes += holds(change, 0)
	}
	share := func(n int) float64 { return float64(n) / runs }
	t.Logf("held: %.3f by trays, %.3f one by one, changes %.3f", share(held), share(alone), share(changes))
	if share(held) < 0.95 || share(changes) < 0.94 || share(alone) > 0.93 {
		t.Errorf("the truth is held in %.3f, by slices alone in %.3f, of changes in %.3f", share(held), share(alone), share(changes))
	}
}
