package weight

import "netagauge/internal/core/phrase"

// Matter is what the slices are made of and how thick they are, as far as the
// person knows.
type Matter struct {
	Species   string // for the report; may be empty
	Group     string // of the standard's weight bands; may be empty
	Density   Density
	Thickness Source    // nil when nothing is known
	Weights   Readings  // of slices weighed one by one
	LayAngles LayAngles // told for the tray or by piece
}

// Matter is flesh of a species, by its name or alias, at a temperature in °C. A
// density as text, in g/cm³, counts before the species' own; where neither is
// told it is some fish. Thickness and lay angles are left open.
func (t Table) Matter(species, density string, celsius float64) (Matter, error) {
	m := Matter{Density: UnknownFish()}
	if species != "" {
		s, err := t.Find(species)
		if err != nil {
			return m, err
		}
		m.Species, m.Group = s.Name, s.Group
		if m.Density, err = s.Density(celsius); err != nil {
			return m, err
		}
	}
	if density == "" {
		return m, nil
	}
	var err error
	m.Density, err = ParseDensity(density)
	return m, err
}

// thickestSheet is the most that a clear sheet over the mat can be, mm. Our
// setting: film is 0.05 to 0.2 mm (common practice, no source). Slices on a sheet lie
// nearer to the camera than the mat and look larger; under a sheet of 1 mm, with the
// camera 450 mm above it, by 0.15 %. A thick board is not measured on.
const thickestSheet = 1.0

// CheckSheet refuses what no clear sheet over the mat is, mm.
func CheckSheet(mm float64) error {
	if !(mm >= 0 && mm <= thickestSheet) {
		return phrase.Wrong("sheet", mm)
	}
	return nil
}
