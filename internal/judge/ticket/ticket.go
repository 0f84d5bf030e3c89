// Package ticket is the job ticket of a tray: everything that a person told of
// it, as they wrote it, and what it is held against. With the photos it is all
// that a measurement rests on, so it goes along to whoever measures, and the
// record book keeps it beside the result. It reads no photo and judges nothing.
package ticket

import (
	"cmp"
	"math"
	"strconv"
	"strings"

	"netagauge/internal/core/phrase"
	"netagauge/internal/judge/coach"
	"netagauge/internal/judge/standard"
	"netagauge/internal/judge/weight"
	"netagauge/internal/see/printscale"
)

// Ticket is what is told of one tray, or of all trays of a class or a line.
// Texts are as a person entered them, empty when nothing was told. Its JSON is
// kept for good: a new field is left out of it while it is empty.
type Ticket struct {
	Standard    standard.Standard
	Species     string // a name or alias of the built-in table, or of OwnSpecies
	Density     string // g/cm³, instead of the species' own
	Temperature string // °C, weight.ColdHeld when empty
	Thickness   string // mm, of the tray ("4.1") or by slice ("1:4.2,2:3.9")
	TrayWeight  string // g, of all slices in the photo, instead of a thickness
	LayAngle    string // degrees, of the tray ("35") or by slice ("1:30,2:45")
	Cut         coach.Cut
	SheetMM     float64             // thickness of the clear sheet over the mat
	Prints      []printscale.Record // verified scales of the mats

	Weights       string          `json:",omitempty"` // g, of slices weighed one by one ("1:11.8,2:12.4")
	ScaleInterval string          `json:",omitempty"` // g, of the scale; weight.UsualInterval when empty
	Pitch         string          `json:",omitempty"` // mm, step of the knife along the block, instead of a thickness
	Profile       *weight.Profile `json:",omitempty"` // of weighed slices, instead of a thickness
	OwnSpecies    weight.Table    `json:",omitempty"` // beside the built-in table, and before it
}

// Check says what is wrong with a ticket, as a person can mend it.
func (t Ticket) Check() error {
	if t.Standard.Name == "" {
		return phrase.Wrong("told-standard")
	}
	if err := cmp.Or(weight.CheckSheet(t.SheetMM), t.Cut.Check()); err != nil {
		return err
	}
	_, err := t.Matter()
	return err
}

// Matter reads what is told of the slices.
func (t Ticket) Matter() (weight.Matter, error) {
	m, err := t.flesh()
	if err != nil {
		return m, err
	}
	if t.LayAngle != "" {
		if m.LayAngles, err = weight.ParseLayAngle(t.LayAngle); err != nil {
			return m, err
		}
	}
	if t.Weights != "" {
		if m.Weights, err = weight.ParseWeights(t.Weights, t.ScaleInterval); err != nil {
			return m, err
		}
	}
	m.Thickness, err = t.source(m.Species)
	return m, err
}

// flesh is the species with its density.
func (t Ticket) flesh() (weight.Matter, error) {
	celsius := weight.ColdHeld
	if t.Temperature != "" {
		var err error
		celsius, err = strconv.ParseFloat(strings.TrimSpace(t.Temperature), 64)
		if err != nil || math.IsNaN(celsius) || math.IsInf(celsius, 0) {
			return weight.Matter{}, phrase.Wrong("temperature-number", strconv.Quote(t.Temperature))
		}
		if err := weight.CheckTemperature(celsius); err != nil {
			return weight.Matter{}, err
		}
	}
	return weight.BuiltIn().With(t.OwnSpecies).Matter(t.Species, t.Density, celsius)
}

// Fish is the species' own name and its group of the standard's weight bands. A
// name that no table knows stands for itself, in no group.
func (t Ticket) Fish() (name, group string) {
	s, err := weight.BuiltIn().With(t.OwnSpecies).Find(t.Species)
	if err != nil {
		return t.Species, ""
	}
	return s.Name, s.Group
}

// SpeciesIn is the species' name in a language (BCP 47), as far as it is known.
func (t Ticket) SpeciesIn(tag string) string {
	s, err := weight.BuiltIn().With(t.OwnSpecies).Find(t.Species)
	if err != nil {
		return t.Species
	}
	return s.In(tag)
}

// Sources is how many ways to tell the thickness of every slice are on it.
func (t Ticket) Sources() (n int) {
	for _, told := range []bool{t.Thickness != "", t.TrayWeight != "", t.Pitch != "", t.Profile != nil} {
		if told {
			n++
		}
	}
	return n
}

// BySlice reports whether something is told by the numbers of the slices, which
// belong to one tray.
func (t Ticket) BySlice() bool {
	return t.Weights != "" || strings.Contains(t.Thickness+t.LayAngle, ":")
}

// errSources and errScale are about what does not go together.
var (
	errSources = phrase.Wrong("told-both")
	errScale   = phrase.Wrong("told-scale")
)

// source is where the thickness comes from; nil when nothing was told.
func (t Ticket) source(species string) (weight.Source, error) {
	switch {
	case t.Sources() > 1:
		return nil, errSources
	case t.TrayWeight != "" && t.Weights != "":
		return nil, errScale
	case t.Thickness != "":
		return asSource(weight.ParseThickness(t.Thickness))
	case t.TrayWeight != "":
		return asSource(weight.ParseTrayWeight(t.TrayWeight))
	case t.Pitch != "":
		return t.pitch()
	case t.Profile != nil:
		if err := t.Profile.CheckFor(species); err != nil {
			return nil, err
		}
		return asSource(t.Profile.Fit())
	}
	return nil, nil
}

// asSource keeps a failed parse from becoming a source that is not nil.
func asSource[S weight.Source](s S, err error) (weight.Source, error) {
	if err != nil {
		return nil, err
	}
	return s, nil
}

// pitch needs one lay angle for all cuts; upright and the usual plan angle are
// taken where none was told.
func (t Ticket) pitch() (weight.Source, error) {
	phi := 90.0 // upright
	if t.LayAngle != "" {
		v, err := strconv.ParseFloat(t.LayAngle, 64)
		if err != nil {
			return nil, phrase.Wrong("told-one-lay")
		}
		phi = v
	}
	return asSource(weight.ParsePitch(t.Pitch, cmp.Or(t.Cut.Theta, coach.DefaultTheta), phi))
}

// Says is what is told of the slices, each thing by itself, without the species.
func (t Ticket) Says() []phrase.Text {
	var out []phrase.Text
	for _, x := range []struct{ key, value string }{
		{"told-thickness", t.Thickness}, {"told-weights", t.Weights}, {"told-tray-weight", t.TrayWeight}, {"told-density", t.Density},
		{"told-lay-angle", t.LayAngle}, {"told-step", t.Pitch}, {"told-profile", t.cutter()}, {"told-temperature", t.Temperature},
	} {
		if x.value != "" {
			out = append(out, phrase.Named(x.key, x.value))
		}
	}
	return out
}

// cutter is whose profile is used.
func (t Ticket) cutter() string {
	if t.Profile == nil {
		return ""
	}
	return t.Profile.Cutter
}
