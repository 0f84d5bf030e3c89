package weight

import (
	"strconv"
	"strings"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/textfile"

	"github.com/pelletier/go-toml/v2"
)

// Profile is what one cutter's slices of one species weighed, one by one. It
// keeps the weighings themselves, so that it can grow and be checked.
type Profile struct {
	Species string   `toml:"species"`
	Cutter  string   `toml:"cutter"`
	Pieces  []Sample `toml:"piece"`
}

// Sample is one slice weighed: the photo and number it had there, the area of
// its outline, mm², and what the scale showed, g.
type Sample struct {
	Photo  string  `toml:"photo"`
	Number int     `toml:"number"`
	Area   float64 `toml:"area_mm2"`
	Grams  float64 `toml:"weight_g"`
}

// LoadProfile reads a profile's file; see ParseProfile.
func LoadProfile(path string) (Profile, error) {
	data, err := textfile.Read(path, maxTable)
	if err != nil {
		return Profile{}, err
	}
	p, err := ParseProfile(data)
	if err != nil {
		return Profile{}, phrase.At(path, err)
	}
	return p, nil
}

// ParseProfile reads a profile from TOML. Unknown keys are errors that show
// their line, and so are weights that no slice of that area can have.
func ParseProfile(data []byte) (Profile, error) {
	var p Profile
	if err := textfile.TOML(data, &p); err != nil {
		return Profile{}, err
	}
	return p, p.check()
}

// Encode writes the profile as the TOML that ParseProfile reads.
func (p Profile) Encode() ([]byte, error) {
	if err := p.check(); err != nil {
		return nil, err
	}
	return toml.Marshal(p)
}

// Add returns the profile with the pieces of one photo that were weighed one by
// one, given as "2:11.3,5:12.0" in g by their numbers in that photo.
func (p Profile) Add(photo, weighed string, pieces []Piece) (Profile, error) {
	given, err := parseNumbered("what-weight", weighed)
	if err != nil {
		return Profile{}, err
	}
	if err := checkNumbers("weight", given, pieces); err != nil {
		return Profile{}, err
	}
	out := p
	out.Pieces = append([]Sample(nil), p.Pieces...)
	for _, g := range given {
		for _, s := range pieces {
			if s.Number == g.Number {
				out.Pieces = append(out.Pieces, Sample{photo, g.Number, s.Area.X, g.Reading.X})
			}
		}
	}
	return out, out.check()
}

// CheckFor refuses a profile that was made for another species.
func (p Profile) CheckFor(species string) error {
	switch {
	case species == "":
		return phrase.Wrong("profile-species", p.Species)
	case plain(species) != plain(p.Species):
		return phrase.Wrong("profile-other", p.Species, species)
	}
	return nil
}

func (p Profile) check() error {
	if strings.TrimSpace(p.Species) == "" || strings.TrimSpace(p.Cutter) == "" {
		return phrase.Wrong("profile-whose")
	}
	type id struct {
		photo  string
		number int
	}
	seen := map[id]bool{}
	for _, s := range p.Pieces {
		if seen[id{s.Photo, s.Number}] {
			return phrase.Wrong("profile-twice", s.Number, strconv.Quote(s.Photo))
		}
		seen[id{s.Photo, s.Number}] = true
		if err := s.check(); err != nil {
			return phrase.Because(err, "profile-piece", s.Number, strconv.Quote(s.Photo))
		}
	}
	return nil
}

// check refuses a weight that the area cannot have at any thickness of a slice,
// taking the flesh as 1 g/cm³ for that.
func (s Sample) check() error {
	const mostArea = 1e5 // mm²: no slice is so large
	switch {
	case s.Number < 1:
		return phrase.Wrong("profile-number")
	case !(s.Area > 0 && s.Area < mostArea):
		return phrase.Wrong("profile-area", s.Area)
	case !(s.Grams >= s.Area*thinnest/1000 && s.Grams <= s.Area*thickest/1000):
		return phrase.Wrong("profile-grams", s.Grams, s.Area)
	}
	return nil
}
