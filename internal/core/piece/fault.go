package piece

import (
	"math"
	"slices"
	"strings"

	"netagauge/internal/core/phrase"
)

// Verdict on a measured piece.
type Verdict string

const (
	Pass   Verdict = "pass"
	Fail   Verdict = "fail"
	Unsure Verdict = "unsure" // only values whose interval meets a limit stand against it
)

// What a fault is called besides the measures' keys: why rice stays bare below
// the floor, and a koba that is missing.
const (
	Triangular = "triangular" // its taper explains it
	Small      = "small"      // its size does
	Ragged     = "ragged"     // else it is the edge
	NoKoba     = "koba"
)

// Fault is one measure that does not pass. Low and High are the standard's
// limits in the unit of the measure; a limit that does not exist is nil.
type Fault struct {
	What     string      `json:"what"` // a measure's key, or one of the names above
	Measured float64     `json:"measured"`
	Low      *float64    `json:"low,omitempty"`
	High     *float64    `json:"high,omitempty"`
	Unsure   bool        `json:"unsure,omitempty"` // the limit lies within the value's uncertainty
	Advice   string      `json:"advice,omitempty"`
	Says     phrase.Text `json:"advice_parts,omitempty"` // the same, for other languages
}

// Of is the measure that a fault is about; nil for a koba, which is there or not.
func (f Fault) Of() *Measure {
	for _, m := range Measures {
		if m.Key == f.What || slices.Contains(m.Reasons, f.What) {
			return m
		}
	}
	return nil
}

// Criterion is the part of a grade that a fault counts in.
func (f Fault) Criterion() string {
	if m := f.Of(); m != nil {
		return m.Key
	}
	return f.What
}

// Side is on which side of what the house asks a value lies.
type Side int

const (
	TooLittle Side = -1
	Neither   Side = 0
	TooMuch   Side = +1
)

// Side is decided against the limit that was broken, and by nothing else: that
// which the value lies farthest beyond or, inside both, nearest to.
func (f Fault) Side() Side {
	below, above := math.Inf(-1), math.Inf(-1) // how far beyond each
	if f.Low != nil {
		below = *f.Low - f.Measured
	}
	if f.High != nil {
		above = f.Measured - *f.High
	}
	switch {
	case f.Low == nil && f.High == nil:
		return Neither
	case below > above:
		return TooLittle
	}
	return TooMuch
}

// Key is that of the words for what is wrong: short or long rather than length.
func (f Fault) Key() string {
	m := f.Of()
	switch {
	case m == nil || f.What != m.Key:
		return f.What
	case f.Side() == TooLittle:
		return m.Little
	}
	return m.Much
}

// Verdict of the fault alone.
func (f Fault) Verdict() Verdict {
	if f.Unsure {
		return Unsure
	}
	return Fail
}

// Fault is the fault in a measure, if a piece has one.
func (p Piece) Fault(m *Measure) (Fault, bool) {
	for _, f := range p.Faults {
		if f.Of() == m {
			return f, true
		}
	}
	return Fault{}, false
}

// Names are those of faults in a row; a doubtful one ends in a question mark.
func Names(faults []Fault, between string) string {
	names := make([]string, len(faults))
	for i, f := range faults {
		if names[i] = f.What; f.Unsure {
			names[i] += "?"
		}
	}
	return strings.Join(names, between)
}
