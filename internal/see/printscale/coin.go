package printscale

import (
	"math"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/uncertainty"
)

// coinOff is how far from 100 % a coin is believed to show a print. Fitting A4 on
// Letter, the most that a printer does of itself, gives 279.4 / 297 = 94.1 %; and
// neighbours among the coins differ by 3 to 8 %, so that more room would let a
// wrong coin pass.
const coinOff = 0.06

// PaperU is a sheet's own size, k = 1, relative: ±2 mm on 420 mm taken as
// rectangular (ISO 216, from memory).
const PaperU = 0.0028

// OfCoin is the print's scale from a coin's known diameter over the one measured
// at a scale of 1. A size that no print makes of this coin is an error; so is one
// that the paper's edge, where it was seen, contradicts: a coin was named that
// does not lie there. paper is the scale by that edge, 0 when not seen.
func OfCoin(o Object, diameter uncertainty.Value, paper float64) (uncertainty.Value, error) {
	if err := checkSize(diameter); err != nil {
		return uncertainty.Value{}, err
	}
	s := ratio(o.Length, o.Tolerance[0], diameter)
	if math.Abs(s.X-1) > coinOff {
		return uncertainty.Value{}, like(diameter.X, phrase.Named("print-coin-size", o.Name).With(diameter.X, o.Length, 100*(s.X-1)))
	}
	if paper > 0 && math.Abs(s.X-paper) > 3*uncertainty.Combine(s.U, PaperU) {
		return uncertainty.Value{}, like(diameter.X*paper, phrase.Named("print-coin-paper", o.Name).With(100*s.X, 100*paper))
	}
	return s, nil
}

// like is an error that also names the coins of a true diameter, for a person who
// named another.
func like(diameter float64, says phrase.Text) error {
	var fit []string
	for _, o := range coins() {
		if math.Abs(o.Length-diameter) < 2*coinTolerance {
			fit = append(fit, o.Name)
		}
	}
	if fit != nil {
		says = says.And(phrase.Named("print-coins-like", fit...))
	}
	return &phrase.Error{Says: says}
}
