package weight

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/rank"
	"netagauge/internal/core/uncertainty"
)

// fewestPieces that a profile is fitted to. Our setting: with three degrees of
// freedom the interval is 3.2 standard deviations wide, with two 4.3.
const fewestPieces = 4

// Fit is a profile's line through the origin, weight = PerArea·area: a slice's
// thickness differs by a share of itself, so each piece counts by 1/area².
type Fit struct {
	Profile
	PerArea float64 // g/mm²
	SD      float64 // of a slice about the line, as a share of its weight
	// Error and Guess are mean absolute errors, as shares of the weight, on
	// pieces left out one at a time: of the line, and of always guessing the
	// median weight of the other pieces.
	Error, Guess float64
}

// NoBetterError says that a profile's line predicts its own pieces no better
// than always guessing their median weight, so it must not be used.
type NoBetterError struct{ Fit Fit }

func (e NoBetterError) Error() string { return e.Unwrap().Error() }

// Unwrap is the same for every language.
func (e NoBetterError) Unwrap() error {
	return phrase.Wrong("profile-no-better", len(e.Fit.Pieces), 100*e.Fit.Error, 100*e.Fit.Guess)
}

// Fit fits the line. It refuses a profile of too few pieces, and with a
// NoBetterError, beside the Fit, one that does not beat a constant guess.
func (p Profile) Fit() (Fit, error) {
	n := len(p.Pieces)
	if n < fewestPieces {
		return Fit{}, phrase.Wrong("profile-few", fewestPieces, n)
	}
	f := Fit{Profile: p, PerArea: slope(p.Pieces)}
	var squares float64
	for i := range p.Pieces {
		r := f.Residual(i)
		squares += r * r
		rest := slices.Delete(slices.Clone(p.Pieces), i, i+1)
		s := p.Pieces[i]
		f.Error += math.Abs(slope(rest)*s.Area-s.Grams) / s.Grams / float64(n)
		f.Guess += math.Abs(rank.Median(grams(rest))-s.Grams) / s.Grams / float64(n)
	}
	f.SD = math.Sqrt(squares/float64(n-1)) / f.PerArea
	if !(f.Error < f.Guess) {
		return f, NoBetterError{f}
	}
	return f, nil
}

// Residual is how much more piece i weighs for its area than the line says, g/mm².
func (f Fit) Residual(i int) float64 {
	s := f.Pieces[i]
	return s.Grams/s.Area - f.PerArea
}

// Predict is the weight of a slice of the given area, g: U is half the width of
// the 95 % prediction interval for one more slice, t·SD·√(1 + 1/n) of it, t
// being Student's with n-1 degrees of freedom.
func (f Fit) Predict(area float64) (grams, expanded float64) {
	n := float64(len(f.Pieces))
	t := uncertainty.Student(n - 1)
	grams = f.PerArea * area
	return grams, t * f.SD * math.Sqrt(1+1/n) * grams
}

// Of knows no thickness without the density.
func (Fit) Of(int) (Thickness, bool) { return Thickness{}, false }

// Weigh predicts each piece from the area of its outline: how the cutter's walls
// lean is in the line already. The density serves only for the thickness
// reported.
func (f Fit) Weigh(pieces []Piece, d Density) ([]Weighed, error) {
	out := make([]Weighed, len(pieces))
	for i, p := range pieces {
		if err := p.check(); err != nil {
			return nil, about(phrase.Of("of-slice", float64(p.Number)), err)
		}
		grams, expanded := f.Predict(p.Area.X)
		outline, scale := p.parts()
		perArea := uncertainty.Value{X: f.PerArea, U: f.PerArea * expanded / grams / uncertainty.Coverage}
		r := uncertainty.Propagate(func(x []float64) float64 { return x[0] * x[1] * x[1] * x[2] },
			uncertainty.Input{Source: sourceArea, Value: outline, Remedy: remedyArea},
			uncertainty.Input{Source: sourceScale, Value: scale, Remedy: remedyScale},
			uncertainty.Input{Source: FromProfile, Value: perArea, Remedy: "cure-profile"})
		t := 1000 * f.PerArea / d.X
		if err := CheckThickness(t); err != nil {
			return nil, about(phrase.Of("profile-thick", t), err)
		}
		u := t * math.Hypot(perArea.Relative(), d.Relative())
		out[i] = Weighed{Number: p.Number, Result: r, Face: p.Area.X, Shared: true,
			Thickness: Thickness{uncertainty.Value{X: t, U: u}, FromProfile, "cure-one-by-one", true}}
	}
	return out, nil
}

// slope of the line through the origin with weights 1/area², g/mm².
func slope(pieces []Sample) float64 {
	x, y, w := make([]float64, len(pieces)), make([]float64, len(pieces)), make([]float64, len(pieces))
	for i, s := range pieces {
		x[i], y[i], w[i] = s.Area, s.Grams, 1/(s.Area*s.Area)
	}
	_, beta := stat.LinearRegression(x, y, w, true)
	return beta
}

func grams(pieces []Sample) []float64 {
	g := make([]float64, len(pieces))
	for i, s := range pieces {
		g[i] = s.Grams
	}
	return g
}
