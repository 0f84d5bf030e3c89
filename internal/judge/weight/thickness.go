package weight

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/uncertainty"
)

// Where a thickness comes from, as reports name it.
const (
	FromEntered     = "entered"
	FromTrayWeight  = "tray weight"
	FromProfile     = "profile"
	FromCutPlan     = "cut plan"
	FromSecondPhoto = "second photo"
	FromScale       = "scale"
)

// Least and greatest thickness that a slice can have, mm. Our setting, no
// source: half a millimetre is a shaving, and above 30 mm it is a block.
const thinnest, thickest = 0.5, 30.0

// DefaultSpread is how much the slices of one tray differ in thickness: their
// standard deviation as a share of the mean. Our setting, no source: at 0.15
// slices of 4 mm lie mostly between 3 and 5. A house that has measured its own
// may set it.
const DefaultSpread = 0.15

// Thickness of one slice, mm: the mean over its face. Source is one of the From
// names, Remedy is the key of what would make it better known.
type Thickness struct {
	uncertainty.Value
	Source string
	Remedy string
	Shared bool // one for all slices of a tray: nothing was seen or told of this very one
}

// CheckThickness refuses what no slice can be, mm. The words fit after the name of
// what was entered.
func CheckThickness(mm float64) error {
	if !(mm >= thinnest && mm <= thickest) {
		return phrase.Wrong("thick-range", thinnest, thickest)
	}
	return nil
}

// Entered is thickness as a person gave it: one value for the tray, or one for
// each piece named.
type Entered struct {
	tray   *uncertainty.Value
	each   []numbered
	source string
	Spread float64 // between the slices of a tray; DefaultSpread unless set
}

// ParseThickness reads "4.1" for the whole tray, or "1:4.2,2:3.9" piece by
// piece, in mm. Each is known to half of its last digit; see parseReading.
func ParseThickness(text string) (Entered, error) {
	e := Entered{Spread: DefaultSpread, source: FromEntered}
	if text = strings.TrimSpace(text); !strings.ContainsAny(text, ":") {
		r, err := parseReading(text)
		if err == nil {
			err = CheckThickness(r.X)
		}
		if err != nil {
			return Entered{}, told("what-thickness", text, err)
		}
		e.tray = &r
		return e, nil
	}
	each, err := parseNumbered("what-thickness", text)
	if err != nil {
		return Entered{}, err
	}
	for _, n := range each {
		if err := CheckThickness(n.Reading.X); err != nil {
			return Entered{}, toldOf("what-thickness", phrase.Number(n.Reading.X, -1), n.Number, err)
		}
	}
	e.each = each
	return e, nil
}

// ParsePitch reads the step of the knife along the block, mm, for cuts at the
// plan angle theta and the lay angle phi, degrees. Parallel cuts leave slices of
// pitch·sin(theta)·sin(phi): by the geometry of a box, for all slices of the
// tray. How well the hand follows the plan is in the spread between slices.
func ParsePitch(text string, theta, phi float64) (Entered, error) {
	if !(theta >= flattest && theta <= upright && phi >= flattest && phi <= upright) {
		return Entered{}, phrase.Wrong("pitch-angles", theta, phi, flattest, upright)
	}
	r, err := parseReading(strings.TrimSpace(text))
	if err != nil {
		return Entered{}, told("what-pitch", text, err)
	}
	k := math.Sin(theta*math.Pi/180) * math.Sin(phi*math.Pi/180)
	t := uncertainty.Value{X: k * r.X, U: k * r.U}
	if err := CheckThickness(t.X); err != nil {
		return Entered{}, told("what-pitch", text, about(phrase.Of("thick-of-pitch", t.X), err))
	}
	return Entered{tray: &t, source: FromCutPlan, Spread: DefaultSpread}, nil
}

// Of returns the thickness of piece number; false when none was entered for it.
// A value for the tray is a slice's own thickness only as far as the slices are
// alike, so the spread between slices goes into it.
func (e Entered) Of(number int) (Thickness, bool) {
	if e.tray != nil {
		u := uncertainty.Combine(e.tray.U, e.Spread*e.tray.X)
		return Thickness{uncertainty.Value{X: e.tray.X, U: u}, e.source,
			"cure-each", true}, true
	}
	for _, n := range e.each {
		if n.Number == number {
			return Thickness{n.Reading, e.source, "cure-thickness-digit", false}, true
		}
	}
	return Thickness{}, false
}

// Weigh weighs the pieces that have a thickness; the others are left out. It
// refuses an entry for a piece that is not there.
func (e Entered) Weigh(pieces []Piece, d Density) ([]Weighed, error) {
	if err := checkNumbers("what-thickness", e.each, pieces); err != nil {
		return nil, err
	}
	return weighKnown(e.Of, pieces, d)
}

// checkNumbers refuses a piece number that the tray does not have.
func checkNumbers(what string, given []numbered, pieces []Piece) error {
	for _, n := range given {
		if !slices.ContainsFunc(pieces, func(p Piece) bool { return p.Number == n.Number }) {
			if len(pieces) == 0 {
				return phrase.Wrong("given-none", what, float64(n.Number))
			}
			return phrase.Wrong("given-other", what, list(pieces), float64(n.Number))
		}
	}
	return nil
}

// list names the measured pieces of a tray.
func list(pieces []Piece) string {
	names := make([]string, len(pieces))
	for i, p := range pieces {
		names[i] = strconv.Itoa(p.Number)
	}
	return strings.Join(names, ", ")
}
