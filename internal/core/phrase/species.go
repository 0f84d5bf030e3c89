package phrase

import (
	"sync"

	"github.com/pelletier/go-toml/v2"

	"netagauge/calibration"
)

// Species is what a built-in species is called in the language; a name that has none in
// it, or that is somebody's own, stands for itself.
func (l *Language) Species(name string) string {
	if own, ok := l.book().species[name]; ok {
		return own
	}
	return name
}

// speciesIn are the names in a language, the one to show of each, by the English name.
func speciesIn(tag string) map[string]string {
	out := map[string]string{}
	for _, s := range namedSpecies() {
		if names := s.Names[tag]; len(names) > 0 {
			out[s.Name] = names[0]
		}
	}
	return out
}

// named is of a species what is said of it; package weight reads and checks all of it.
type named struct {
	Name  string              `toml:"name"`
	Names map[string][]string `toml:"names"`
}

var namedSpecies = sync.OnceValue(func() []named {
	var doc struct {
		Species []named `toml:"species"`
	}
	if err := toml.Unmarshal(calibration.Species, &doc); err != nil {
		panic(err) // the embedded file is read by the tests
	}
	return doc.Species
})
