package coverage

import (
	"math"
	"slices"

	"netagauge/internal/core/uncertainty"
)

// Held is how often the intervals of a group held the truth, and how wide they
// were.
type Held struct {
	Group
	N, Held   int
	Low, High float64 // of the chance to hold it, 95 % (Clopper and Pearson), were slices independent
	MedianU   float64
	// Constant is the least half width that would have held the truth of 95 % of
	// these slices if all had the same: what the median is to be seen against.
	Constant float64
}

// Hold counts by group, with the factors given.
func Hold(all []Residual, f Factors) []Held {
	return hold(all, func(Residual) Factors { return f })
}

// HoldApart counts by group with each tray held to factors fitted on all other
// trays: what factors from these trays promise for one that they have not seen.
func HoldApart(all []Residual) ([]Held, error) {
	byTray := map[string]Factors{}
	for _, r := range all {
		if byTray[r.Tray] != nil {
			continue
		}
		var others []Residual
		for _, o := range all {
			if o.Tray != r.Tray {
				others = append(others, o)
			}
		}
		f, err := Fit(others)
		if err != nil {
			return nil, err
		}
		byTray[r.Tray] = f
	}
	return hold(all, func(r Residual) Factors { return byTray[r.Tray] }), nil
}

func hold(all []Residual, by func(Residual) Factors) []Held {
	var out []Held
	for _, g := range Groups {
		h := Held{Group: g}
		var us, errs []float64
		for _, r := range all {
			if !r.in(g) {
				continue
			}
			u := r.U(by(r).of(g))
			us, errs = append(us, u), append(errs, math.Abs(r.Error))
			h.N++
			if math.Abs(r.Error) <= u {
				h.Held++
			}
		}
		if h.N > 0 {
			h.Low, h.High = uncertainty.Proportion(float64(h.Held), float64(h.N))
			h.MedianU, h.Constant = quantile(us, 0.5), quantile(errs, Share)
		}
		out = append(out, h)
	}
	return out
}

func (f Factors) of(g Group) float64 {
	for _, x := range f {
		if x.Measure == g.Measure && x.Seen == g.Seen {
			return x.K
		}
	}
	return 1
}

// quantile is the least value that so large a share of them do not exceed.
func quantile(v []float64, share float64) float64 {
	sorted := slices.Sorted(slices.Values(v))
	return sorted[max(0, int(math.Ceil(share*float64(len(sorted))))-1)]
}
