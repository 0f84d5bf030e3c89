package weight

import (
	"math"
	"slices"
	"testing"

	"netagauge/internal/core/fatal"
	"netagauge/internal/core/piece"
	"netagauge/internal/core/uncertainty"
)

// JCGM 101:2008, clause 8: the linear budget is valid where the ends of its 95 %
// interval, y ± 2u, lie within half a unit of the last digit that counts of u from
// those by Monte Carlo, the probabilistically symmetric interval of 10^6 trials
// (7.2 and 7.7). One digit of u counts here: that is what people read of it.
func TestLinearBudgetAgainstMonteCarlo(t *testing.T) {
	const trials = 1_000_000
	laid := func(phi float64) Lean {
		l, err := LayAngle(phi)
		fatal.If(t, err)
		return Lean{Value: l}
	}
	density := densityOf(1.055, 1.055*0.0114)
	for name, c := range map[string]struct {
		area, areaU, scaleU float64
		lean                Lean
		t                   Thickness
	}{
		"thickness by caliper, upright":      {2700, 25, 0.0012, laid(90), thicknessOf(4.2, 0.029)},
		"thickness by ruler, laid":           {2900, 25, 0.0012, laid(40), thicknessOf(4, 0.29)},
		"lean seen by one photo":             {2700, 40, 0.0012, SeenLean(0.8, 0.6, 4.4, piece.Seen{}), thicknessOf(4.4, 0.029)},
		"by two photos, lean hardly open":    {2500, 20, 0.0012, SeenLean(4, 0.1, 4, piece.Seen{Two: true}), thicknessOf(4, 0.1)},
		"thick, seen lean, scale by a paper": {2700, 40, 0.0028, SeenLean(3, 0.5, 6, piece.Seen{}), thicknessOf(6, 0.15)},
	} {
		s := Slice{Area: uncertainty.Value{X: c.area, U: c.areaU}, Extent: 80, Lean: c.lean, ScaleU: c.scaleU}
		w, err := Weigh(s, c.t, density)
		if err != nil {
			t.Fatal(name, err)
		}
		low, high := simulated(s, c.t, density, trials)
		digit := math.Pow10(int(math.Floor(math.Log10(w.U))))
		for end, off := range map[string]float64{"lower": w.X - w.Expanded() - low, "upper": w.X + w.Expanded() - high} {
			if math.Abs(off) > digit/2 {
				t.Errorf("%s: %.2f ± %.2f g by the linear budget, %.2f to %.2f g by Monte Carlo: the %s end is off by %.3f, allowed %.3f",
					name, w.X, w.Expanded(), low, high, end, off, digit/2)
			}
		}
	}
}

// simulated is the interval of a weight by drawing everything that it rests on, by
// the geometry alone: an outline of some area, its strip of wall, a thickness.
func simulated(s Slice, t Thickness, d Density, trials int) (low, high float64) {
	normal := newNormal(8)
	drawn := func(v uncertainty.Value) float64 { return v.X + v.U*normal() }
	outline := s.Area
	outline.U = math.Sqrt(outline.U*outline.U - math.Pow(2*s.Area.X*s.ScaleU, 2))
	grams := make([]float64, trials)
	for i := range grams {
		scale := 1 + s.ScaleU*normal()
		thick := drawn(t.Value)
		run := thick * drawn(s.Lean.Value)
		face := drawn(outline)*scale*scale - s.Extent*scale*run
		grams[i] = face * thick * drawn(d.Value) / 1000
	}
	slices.Sort(grams)
	return grams[trials*25/1000], grams[trials*975/1000]
}
