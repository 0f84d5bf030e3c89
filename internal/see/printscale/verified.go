package printscale

import (
	"math"
	"time"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/uncertainty"
)

// Verified is the scale of one mat's print as an object on it shows it.
type Verified struct {
	Mat   string
	By    Object
	Scale uncertainty.Value
}

// Says is what was found, and by what.
func (v Verified) Says() phrase.Text {
	numbers := []float64{100 * v.Scale.X, 100 * v.Scale.Expanded(), v.By.Length, v.By.Width}
	if v.By == Card() {
		return phrase.Named("print-by", v.Mat, "print-a-card").With(numbers...)
	}
	return phrase.Named("print-by", v.Mat, "print-a-coin", v.By.Name).With(numbers...)
}

// Learn returns the store with what was verified on a day. An object so small
// that its interval holds 100 % tells no more than that the print may be true,
// which later checks know better: then it is kept only where it replaces another,
// and kept is false.
func (s Store) Learn(v Verified, day time.Time) (out Store, kept bool) {
	if _, had := s.Find(v.Mat); !had && v.By != Card() && math.Abs(v.Scale.X-1) < v.Scale.Expanded() {
		return s, false
	}
	return s.With(Record{Mat: v.Mat, Scale: v.Scale.X, U: v.Scale.Expanded(), Object: v.By.Name, Day: day.Format(time.DateOnly)}), true
}
