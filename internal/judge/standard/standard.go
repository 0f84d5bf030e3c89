// Package standard holds the house standard, the sizes and weights that a house
// asks of a slice, and judges measured slices against it. Lengths are in mm,
// weights in g; rice cover and taper are plain ratios. Uncertainties are
// expanded (k = 2). It never measures, and never rounds a value before judging.
package standard

import (
	"slices"

	"netagauge/internal/core/piece"
)

// Standard is one house standard. The toml names are those of the file.
type Standard struct {
	Name            string  `toml:"name"`
	Practice        bool    `toml:"practice"` // slices for learning, not for service
	TriangularTaper float64 `toml:"triangular_taper"`
	KobaRequired    bool    `toml:"koba_required"`
	Length          Limits  `toml:"length_mm"`
	Width           Limits  `toml:"width_mm"`
	Weight          Bands   `toml:"weight_g"`
	Skew            *Most   `toml:"skew_deg" json:",omitempty"` // nil where the house asks for none
	Rice            Rice    `toml:"rice"`
	Verdict         Rule    `toml:"verdict"`
	Grading         Grading `toml:"grading"`
}

// Limits are the least and greatest value that pass, both included, and the
// value to aim for.
type Limits struct {
	Low  float64 `toml:"low"`
	Aim  float64 `toml:"aim"`
	High float64 `toml:"high"`
}

// Most is the greatest value that passes.
type Most struct {
	High float64 `toml:"high"`
}

// Bands are the weight limits in g for each group of species.
type Bands struct {
	Stiff   Limits `toml:"stiff"`
	White   Limits `toml:"white"`
	Tuna    Limits `toml:"tuna"`
	General Limits `toml:"general"`
}

// Rice is the upper surface of the rice ball unrolled flat: a rounded rectangle
// in mm, and the least share of it that a slice must cover (0 to 1).
type Rice struct {
	Length     float64 `toml:"length_mm"`
	Width      float64 `toml:"width_mm"`
	Corner     float64 `toml:"corner_mm"`
	CoverFloor float64 `toml:"cover_floor"`
}

// Rule says how a value with its uncertainty meets a limit, and whether an
// unsure slice counts as passed.
type Rule struct {
	Guard          Guard  `toml:"guard"`
	UnsureCountsAs string `toml:"unsure_counts_as"`
}

// Guard is a guard-band rule, in the terms of JCGM 106:2012.
type Guard string

const (
	GuardRejection  Guard = "rejection"  // guarded rejection: fail only beyond the limit by more than U
	GuardAcceptance Guard = "acceptance" // guarded acceptance: pass only inside the limit by more than U
	GuardBoth       Guard = "both"       // unsure whenever the limit lies within U of the value
	GuardNone       Guard = "none"       // simple acceptance: the value alone decides
)

// Grading is how many points of a class grade each part is worth, and what the
// parts that are no share of slices are held against.
type Grading struct {
	Length   int `toml:"length"`
	Width    int `toml:"width"`
	Weight   int `toml:"weight"`
	Cover    int `toml:"cover"`
	Skew     int `toml:"skew" json:",omitempty"`
	Evenness int `toml:"evenness"`
	Count    int `toml:"count"`
	Pace     int `toml:"pace"`

	Unmeasured Unmeasured `toml:"unmeasured"` // what slices count as that lie there without numbers

	EvenCV          float64 `toml:"even_cv"`           // coefficient of variation that still earns all points
	UnevenCV        float64 `toml:"uneven_cv"`         // and the one that earns none
	Stack           int     `toml:"stack"`             // slices are stacked in multiples of this
	SlicesPerMinute float64 `toml:"slices_per_minute"` // pace that earns all points
}

// WeightFor returns the weight limits in g for a group; a group that the
// standard does not know has the general band.
func (s Standard) WeightFor(group string) Limits {
	switch group {
	case "stiff":
		return s.Weight.Stiff
	case "white":
		return s.Weight.White
	case "tuna":
		return s.Weight.Tuna
	}
	return s.Weight.General
}

// Unmeasured is what a slice counts as that lies on a tray and was not measured.
type Unmeasured string

const (
	UnmeasuredFails   Unmeasured = "fail"      // as failed in each share of slices, so that hiding a slice never pays
	UnmeasuredLeftOut Unmeasured = "leave-out" // the grade speaks of the measured ones alone
)

// ownWeight is the widest interval, as a share of the weight band, that still
// tells one slice from the next (design).
const ownWeight = 0.25

// TellsApart reports whether a weight with the expanded uncertainty u, g, that
// rests on what is told of the whole tray says something of one slice: where u is
// below a quarter of the band. Else it is an estimate for the tray's mean.
func (s Standard) TellsApart(u float64, group string) bool {
	band := s.WeightFor(group)
	return u < ownWeight*(band.High-band.Low)
}

// Band is the two-sided band with an aim that the standard has for a measure of
// the slices of a group of species; false where there is none.
func (s Standard) Band(m *piece.Measure, group string) (Limits, bool) {
	switch m {
	case piece.Length:
		return s.Length, true
	case piece.Width:
		return s.Width, true
	case piece.Weight:
		return s.WeightFor(group), true
	}
	return Limits{}, false
}

// Banded are the measures that have such a band in every standard.
func Banded() []*piece.Measure { return []*piece.Measure{piece.Length, piece.Width, piece.Weight} }

// Asks are the limits that the standard sets for a measure, nil for none.
func (s Standard) Asks(m *piece.Measure, group string) (low, high *float64) {
	if b, ok := s.Band(m, group); ok {
		return &b.Low, &b.High
	}
	if m == piece.Cover {
		return &s.Rice.CoverFloor, nil
	}
	for _, c := range s.ceilings() {
		if c.of == m {
			return nil, &c.High
		}
	}
	return nil, nil
}

// ceiling is a greatest value that the house set for a measure, the value itself
// being bounded too, and its table in the file.
type ceiling struct {
	of    *piece.Measure
	table string
	most  float64
	*Most
}

// ceilings are those that the house set.
func (s Standard) ceilings() []ceiling {
	all := []ceiling{{piece.Skew, "skew_deg", 90, s.Skew}}
	return slices.DeleteFunc(all, func(c ceiling) bool { return c.Most == nil })
}

// Points are those of the criterion that is the share of slices within a measure's
// limits.
func (g Grading) Points(m *piece.Measure) int {
	switch m {
	case piece.Length:
		return g.Length
	case piece.Width:
		return g.Width
	case piece.Weight:
		return g.Weight
	case piece.Cover:
		return g.Cover
	case piece.Skew:
		return g.Skew
	}
	return 0
}
