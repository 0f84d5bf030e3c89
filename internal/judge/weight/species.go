package weight

import (
	"maps"
	"slices"
	"strconv"
	"strings"
	"sync"

	"netagauge/calibration"
	"netagauge/internal/core/phrase"
	"netagauge/internal/core/textfile"
)

// maxTable bounds a species file, bytes; the built-in one is some 5 kB.
const maxTable = 1 << 20

// Groups of species that have their own weight band in the house standard.
var groups = []string{"stiff", "white", "tuna", "general"}

// Species is one kind of flesh. Source and Label say where its composition was
// read; Aliases are names of the trade; Names are those in other languages, by BCP
// 47 name, the one to show first; Note is for the person.
type Species struct {
	Name    string              `toml:"name"`
	Aliases []string            `toml:"aliases"`
	Names   map[string][]string `toml:"names"`
	Group   string              `toml:"group"`
	Source  string              `toml:"source"`
	Label   string              `toml:"label"`
	Note    string              `toml:"note"`
	Composition
}

// Table is a list of species, in the order of its file.
type Table []Species

// BuiltIn returns the built-in table.
func BuiltIn() Table { return slices.Clone(builtIn()) }

var builtIn = sync.OnceValue(func() Table {
	t, err := ParseTable(calibration.Species)
	if err != nil {
		panic(err) // the embedded file is read by the tests
	}
	return t
})

// LoadTable reads a species file; see ParseTable.
func LoadTable(path string) (Table, error) {
	data, err := textfile.Read(path, maxTable)
	if err != nil {
		return nil, err
	}
	t, err := ParseTable(data)
	if err != nil {
		return nil, phrase.At(path, err)
	}
	return t, nil
}

// ParseTable reads species from TOML. Unknown keys are errors that show their
// line; so is a name or alias that two species share.
func ParseTable(data []byte) (Table, error) {
	var doc struct {
		Species Table `toml:"species"`
	}
	if err := textfile.TOML(data, &doc); err != nil {
		return nil, err
	}
	if len(doc.Species) == 0 {
		return nil, phrase.Wrong("species-file-empty")
	}
	owner := map[string]string{}
	for i, s := range doc.Species {
		if err := s.check(); err != nil {
			return nil, phrase.Because(err, "species-number", i+1, strconv.Quote(s.Name))
		}
		for _, n := range s.names() {
			if other, taken := owner[n]; taken {
				return nil, phrase.Wrong("species-shared", strconv.Quote(other), strconv.Quote(s.Name), strconv.Quote(n))
			}
			owner[n] = s.Name
		}
	}
	return doc.Species, nil
}

// check refuses a species that cannot be used. The sum of a real row of the
// food tables lies between 94 and 104 g per 100 g.
func (s Species) check() error {
	switch {
	case strings.TrimSpace(s.Name) == "":
		return phrase.Wrong("species-no-name")
	case !slices.Contains(groups, s.Group):
		return phrase.Wrong("species-no-group", strconv.Quote(s.Group), strings.Join(groups, ", "))
	case s.Source == "":
		return phrase.Wrong("species-no-source")
	}
	for _, part := range []struct {
		name string
		x    float64
	}{{"water", s.Water}, {"protein", s.Protein}, {"fat", s.Fat}, {"carbohydrate", s.Carbohydrate}, {"ash", s.Ash}} {
		if !(part.x >= 0 && part.x <= 100) {
			return phrase.Wrong("species-part", part.name, part.x)
		}
	}
	if sum := s.Sum(); sum < 90 || sum > 110 {
		return phrase.Wrong("species-sum", sum)
	}
	for _, n := range s.names() {
		if n == "" {
			return phrase.Wrong("species-alias")
		}
	}
	return nil
}

// names are all names of the species as they are compared.
func (s Species) names() []string {
	out := []string{plain(s.Name)}
	for _, a := range s.Others() {
		out = append(out, plain(a))
	}
	return out
}

// Others are the names that are accepted beside its own.
func (s Species) Others() []string {
	out := slices.Clone(s.Aliases)
	for _, tag := range slices.Sorted(maps.Keys(s.Names)) {
		out = append(out, s.Names[tag]...)
	}
	return out
}

// In is the species' name in a language, by BCP 47 name; its own where the table
// has none.
func (s Species) In(tag string) string {
	if names := s.Names[tag]; len(names) > 0 {
		return names[0]
	}
	return s.Name
}

// plain makes names comparable: case, hyphens and spare spaces do not count.
func plain(name string) string {
	return strings.Join(strings.Fields(strings.ReplaceAll(strings.ToLower(name), "-", " ")), " ")
}

// With returns the table with another's species first; those take the place of
// species that have the same name.
func (t Table) With(other Table) Table {
	out := slices.Clone(other)
	for _, s := range t {
		if !slices.ContainsFunc(other, func(o Species) bool { return plain(o.Name) == plain(s.Name) }) {
			out = append(out, s)
		}
	}
	return out
}

// Find returns the species of a name or alias. An unknown one is an error that
// offers the nearest names. A name goes before another species' alias.
func (t Table) Find(name string) (Species, error) {
	want := plain(name)
	for _, s := range t {
		if plain(s.Name) == want {
			return s, nil
		}
	}
	for _, s := range t {
		if slices.Contains(s.names(), want) {
			return s, nil
		}
	}
	return Species{}, t.unknown(name)
}

// unknown offers the names that may have been meant.
func (t Table) unknown(name string) error {
	var known []string
	for _, s := range t {
		known = append(known, s.names()...)
	}
	like := textfile.Like(plain(name), known)
	if len(like) == 0 {
		return phrase.Wrong("species-none", strconv.Quote(name))
	}
	for i, n := range like {
		like[i] = strconv.Quote(n)
	}
	return phrase.Wrong("species-like", strconv.Quote(name), strings.Join(like, " / "))
}
