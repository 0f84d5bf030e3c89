package intake

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"

	"netagauge/internal/judge/coach"
	"netagauge/internal/judge/standard"
	"netagauge/internal/judge/weight"
	"netagauge/internal/see/printscale"
	"netagauge/internal/work/board"
)

// Told is everything that the measurement of a photo rests on besides its
// content. Texts are as a person entered them, empty when nothing was told.
type Told struct {
	Standard    standard.Standard
	Species     string // a name or alias of the built-in table
	Density     string // g/cm³, instead of the species' own
	Temperature string // °C, weight.ColdHeld when empty
	Thickness   string // mm, of the tray ("4.1") or by piece ("1:4.2,2:3.9")
	TrayWeight  string // g, of all slices in the photo, instead of a thickness
	LayAngle    string // degrees, of the tray ("35") or by piece ("1:30,2:45")
	Cut         coach.Cut
	SheetMM     float64             // thickness of the clear sheet over the mat
	Prints      []printscale.Record // verified scales of the mats
}

// Check says what is wrong with what was told, as a person can mend it.
func (t Told) Check() error {
	if t.Standard.Name == "" {
		return errors.New("no house standard was told")
	}
	if err := cmp.Or(weight.CheckSheet(t.SheetMM), t.Cut.Check()); err != nil {
		return err
	}
	_, err := t.Matter()
	return err
}

// Matter reads the texts.
func (t Told) Matter() (weight.Matter, error) {
	celsius, err := t.celsius()
	if err != nil {
		return weight.Matter{}, err
	}
	m, err := weight.BuiltIn().Matter(t.Species, t.Density, celsius)
	if err != nil {
		return m, err
	}
	if t.LayAngle != "" {
		if m.LayAngles, err = weight.ParseLayAngle(t.LayAngle); err != nil {
			return m, err
		}
	}
	m.Thickness, err = t.source()
	return m, err
}

func (t Told) celsius() (float64, error) {
	if t.Temperature == "" {
		return weight.ColdHeld, nil
	}
	v, err := strconv.ParseFloat(strings.TrimSpace(t.Temperature), 64)
	if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
		return 0, fmt.Errorf("temperature %q is no number of °C", t.Temperature)
	}
	return v, nil
}

func (t Told) source() (weight.Source, error) {
	switch {
	case t.Thickness != "" && t.TrayWeight != "":
		return nil, errors.New("give the thickness or the tray's weight, not both")
	case t.Thickness != "":
		s, err := weight.ParseThickness(t.Thickness)
		if err != nil {
			return nil, err // a failed parse must not become a source that is not nil
		}
		return s, nil
	case t.TrayWeight != "":
		s, err := weight.ParseTrayWeight(t.TrayWeight)
		if err != nil {
			return nil, err
		}
		return s, nil
	}
	return nil, nil
}

// asked is what the book keeps of a session, as the class's board reads it.
func (t Told) asked() (board.Asked, error) {
	m, err := t.Matter()
	return board.Asked{
		Standard: t.Standard, Species: m.Species, Group: m.Group, Matter: t.words(),
		Cut: t.Cut, SheetMM: t.SheetMM, Prints: t.Prints,
	}, err
}

func (t Told) words() string {
	var out []string
	for _, x := range []struct{ name, value, unit string }{
		{"thickness", t.Thickness, " mm"}, {"tray weight", t.TrayWeight, " g"}, {"density", t.Density, " g/cm³"},
		{"lay angle", t.LayAngle, "°"}, {"temperature", t.Temperature, " °C"},
	} {
		if x.value != "" {
			out = append(out, x.name+" "+x.value+x.unit)
		}
	}
	return strings.Join(out, ", ")
}
