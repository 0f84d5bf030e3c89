package weight

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"maps"
	"os"
	"slices"
	"strconv"
	"strings"
	"sync"

	"github.com/agnivade/levenshtein"
	"github.com/pelletier/go-toml/v2"

	"netagauge/calibration"
	"netagauge/internal/core/phrase"
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
	t, err := ParseTable("species.toml", calibration.Species)
	if err != nil {
		panic(err) // the embedded file is read by the tests
	}
	return t
})

// LoadTable reads a species file; see ParseTable.
func LoadTable(path string) (Table, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, fmt.Errorf("read species: %w", err)
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, maxTable+1))
	if err != nil {
		return nil, fmt.Errorf("read species: %w", err)
	}
	if len(data) > maxTable {
		return nil, fmt.Errorf("species file %q is larger than %d bytes; it should be a short TOML file", path, maxTable)
	}
	return ParseTable(path, data)
}

// ParseTable reads species from TOML. Unknown keys are errors that show their
// line; so is a name or alias that two species share. The name of the file is
// used in errors only.
func ParseTable(file string, data []byte) (Table, error) {
	var doc struct {
		Species Table `toml:"species"`
	}
	err := toml.NewDecoder(bytes.NewReader(data)).DisallowUnknownFields().Decode(&doc)
	if err != nil {
		return nil, tomlError("species file", file, err)
	}
	if len(doc.Species) == 0 {
		return nil, fmt.Errorf("species file %q has no [[species]] in it", file)
	}
	owner := map[string]string{}
	for i, s := range doc.Species {
		if err := s.check(); err != nil {
			return nil, fmt.Errorf("species file %q, species %d (%q): %w", file, i+1, s.Name, err)
		}
		for _, n := range s.names() {
			if other, taken := owner[n]; taken {
				return nil, fmt.Errorf("species file %q: %q and %q share the name %q; keep it in one", file, other, s.Name, n)
			}
			owner[n] = s.Name
		}
	}
	return doc.Species, nil
}

// tomlError shows the place in the file, as the TOML library draws it.
func tomlError(what, file string, err error) error {
	var unknown *toml.StrictMissingError
	if errors.As(err, &unknown) {
		return fmt.Errorf("%s %q has keys that are not known; remove or correct them:\n%s", what, file, unknown.String())
	}
	var bad *toml.DecodeError
	if errors.As(err, &bad) {
		row, col := bad.Position()
		return fmt.Errorf("%s %q, line %d, column %d:\n%s", what, file, row, col, bad.String())
	}
	return fmt.Errorf("%s %q: %w", what, file, err)
}

// check refuses a species that cannot be used. The sum of a real row of the
// food tables lies between 94 and 104 g per 100 g.
func (s Species) check() error {
	switch {
	case strings.TrimSpace(s.Name) == "":
		return errors.New("give it a name")
	case !slices.Contains(groups, s.Group):
		return fmt.Errorf("group %q is not one of %s", s.Group, strings.Join(groups, ", "))
	case s.Source == "":
		return errors.New("say where the composition comes from, as source")
	}
	for _, part := range []struct {
		name string
		x    float64
	}{{"water", s.Water}, {"protein", s.Protein}, {"fat", s.Fat}, {"carbohydrate", s.Carbohydrate}, {"ash", s.Ash}} {
		if !(part.x >= 0 && part.x <= 100) {
			return fmt.Errorf("%s is %g g per 100 g; it must be 0 to 100", part.name, part.x)
		}
	}
	if sum := s.Sum(); sum < 90 || sum > 110 {
		return fmt.Errorf("water, protein, fat, carbohydrate and ash add up to %.4g g per 100 g; check them", sum)
	}
	for _, n := range s.names() {
		if n == "" {
			return errors.New("an alias is empty")
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

// unknown offers the names that take the fewest changes, and no far-fetched one,
// nor one of which no letter stays.
func (t Table) unknown(name string) error {
	want := plain(name)
	type near struct {
		name     string
		distance int
	}
	var found []near
	for _, s := range t {
		for _, n := range s.names() {
			d := levenshtein.ComputeDistance(want, n)
			if d <= max(1, len([]rune(want))/3) && d < len([]rune(n)) || strings.Contains(n, want) && len(want) >= 3 {
				found = append(found, near{n, d})
			}
		}
	}
	if len(found) == 0 {
		return phrase.Wrong("species-none", strconv.Quote(name))
	}
	slices.SortStableFunc(found, func(a, b near) int { return a.distance - b.distance })
	var names []string
	for _, n := range found[:min(3, len(found))] {
		names = append(names, fmt.Sprintf("%q", n.name))
	}
	return phrase.Wrong("species-like", strconv.Quote(name), strings.Join(names, " / "))
}
