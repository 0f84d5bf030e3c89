package printscale

import (
	"math"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/uncertainty"
)

// Least and most that a printer's scaling is believed; beyond, the object is
// not what it was said to be. Our setting.
const least, most = 0.90, 1.10

// sidesAgree is how far the two sides of an object may tell different scales
// beyond their uncertainty: a printer may stretch its paper by some 0.2 % one
// way. Our setting.
const sidesAgree = 0.003

// Seen is a card as measured at a scale of 1, with standard uncertainties that
// leave out the print's own scale: its length and width (median chords).
type Seen struct{ Length, Width uncertainty.Value }

// Of is the print's scale, from both sides of a card, known over measured. Sides
// that disagree, or a scale that no printer makes, are errors.
func Of(o Object, s Seen) (uncertainty.Value, error) {
	if err := s.check(); err != nil {
		return uncertainty.Value{}, err
	}
	l := ratio(o.Length, o.Tolerance[0], s.Length)
	w := ratio(o.Width, o.Tolerance[1], s.Width)
	scale := mean(l, w)
	if !(scale.X > least && scale.X < most) {
		return uncertainty.Value{}, phrase.Wrong("print-card", o.Name, s.Length.X, s.Width.X, o.Length, o.Width, 100*(scale.X-1))
	}
	if gap := math.Abs(l.X - w.X); gap > 3*uncertainty.Combine(l.U, w.U)+sidesAgree {
		return uncertainty.Value{}, phrase.Wrong("print-sides", o.Name, 100*l.X, 100*w.X)
	}
	return scale, nil
}

// ratio of a known length ± its tolerance, anywhere in it equally likely, and a
// measured one.
func ratio(known, tolerance float64, seen uncertainty.Value) uncertainty.Value {
	return uncertainty.Propagate(func(x []float64) float64 { return x[0] / x[1] },
		uncertainty.Input{Value: uncertainty.Rectangular(known, tolerance)},
		uncertainty.Input{Value: seen}).Value
}

// mean of two independent values, each counted by 1/u².
func mean(a, b uncertainty.Value) uncertainty.Value {
	wa, wb := 1/(a.U*a.U), 1/(b.U*b.U)
	return uncertainty.Value{X: (wa*a.X + wb*b.X) / (wa + wb), U: 1 / math.Sqrt(wa+wb)}
}

func (s Seen) check() error {
	for _, v := range []uncertainty.Value{s.Length, s.Width} {
		if err := checkSize(v); err != nil {
			return err
		}
	}
	return nil
}

// vague is the relative standard uncertainty beyond which a size tells nothing of
// a print. Our setting.
const vague = 0.02

func checkSize(v uncertainty.Value) error {
	if !(v.X > 0 && v.U >= 0) || math.IsInf(v.X+v.U, 0) || v.U > vague*v.X {
		return phrase.Wrong("print-vague", v.X, v.Expanded())
	}
	return nil
}
