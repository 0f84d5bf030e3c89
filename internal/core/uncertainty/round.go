package uncertainty

import (
	"math"
	"strconv"
)

// Round rounds half away from zero to so many decimals and never gives -0. A
// value too large to have such decimals, or no number, is returned as it is.
func Round(v float64, digits int) float64 {
	scale := math.Pow10(digits)
	if !(math.Abs(v)*scale <= 1e15) {
		return v
	}
	return math.Round(v*scale)/scale + 0
}

// RoundUp rounds an expanded uncertainty up, so that a written interval never
// claims more than was known (GUM, JCGM 100:2008, 7.2.6 allows it). The allowance
// keeps 0.3 from becoming 0.4 for what its binary form has too much.
func RoundUp(u float64, digits int) float64 {
	scale := math.Pow10(digits)
	if !(math.Abs(u)*scale <= 1e15) {
		return u
	}
	return math.Ceil(u*scale-1e-6)/scale + 0
}

// Decimal writes a value rounded to so many decimals.
func Decimal(v float64, digits int) string {
	return strconv.FormatFloat(Round(v, digits), 'f', digits, 64)
}

// Signed writes a difference, with its sign where it is not nothing.
func Signed(v float64, digits int) string {
	if v = Round(v, digits); v > 0 {
		return "+" + Decimal(v, digits)
	}
	return Decimal(v, digits)
}

// PlusMinus writes a value with its expanded uncertainty, which is rounded up.
func PlusMinus(v, u float64, digits int) string {
	return Decimal(v, digits) + " ± " + strconv.FormatFloat(RoundUp(u, digits), 'f', digits, 64)
}
