package weight

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/pelletier/go-toml/v2"

	"netagauge/calibration"
)

// Species is one kind of topping.
type Species struct {
	Name        string   `toml:"name"`
	Also        []string `toml:"also"`  // names of the trade
	Group       string   `toml:"group"` // of the standard's weight bands: stiff, white, tuna or general
	NDB         string   `toml:"ndb"`   // number in the USDA database, release 28
	USDA        string   `toml:"usda"`  // name there
	Source      string   `toml:"source"`
	Composition          // flattened in the file
}

// List is what a species file holds.
type List struct {
	Species []Species `toml:"species"`
}

// BuiltIn returns the species that come with the program.
func BuiltIn() List {
	l, err := ParseSpecies("built-in species", calibration.Species)
	if err != nil {
		panic(err) // embedded data, covered by a test
	}
	return l
}

// ParseSpecies reads a species file. Unknown keys are errors that show their
// line; so are names used twice, unknown groups and impossible compositions.
func ParseSpecies(name string, data []byte) (List, error) {
	var l List
	d := toml.NewDecoder(bytes.NewReader(data)).DisallowUnknownFields()
	if err := d.Decode(&l); err != nil {
		return List{}, fmt.Errorf("species file %q: %w", name, tomlError(err))
	}
	seen := map[string]bool{}
	for _, s := range l.Species {
		if s.Name == "" {
			return List{}, fmt.Errorf("species file %q: a species has no name", name)
		}
		for _, n := range append([]string{s.Name}, s.Also...) {
			if seen[fold(n)] {
				return List{}, fmt.Errorf("species file %q: the name %q is used twice", name, n)
			}
			seen[fold(n)] = true
		}
		if !slices.Contains([]string{"stiff", "white", "tuna", "general"}, s.Group) {
			return List{}, fmt.Errorf("species file %q: %q has group %q: use stiff, white, tuna or general", name, s.Name, s.Group)
		}
		if _, err := s.Density(ColdHeld); err != nil {
			return List{}, fmt.Errorf("species file %q: %q: %w", name, s.Name, err)
		}
	}
	return l, nil
}

// tomlError puts the line and the excerpt into the message.
func tomlError(err error) error {
	var strict *toml.StrictMissingError
	if errors.As(err, &strict) {
		return errors.New(strings.TrimSpace(strict.String()))
	}
	var bad *toml.DecodeError
	if errors.As(err, &bad) {
		return errors.New(strings.TrimSpace(bad.String()))
	}
	return err
}

// Find returns the species of a name, in any case, by its own name or one of
// the trade's. An unknown name is an error that offers the nearest ones.
func (l List) Find(name string) (Species, error) {
	for _, s := range l.Species {
		if fold(s.Name) == fold(name) || slices.ContainsFunc(s.Also, func(n string) bool { return fold(n) == fold(name) }) {
			return s, nil
		}
	}
	return Species{}, fmt.Errorf("there is no species %q; the nearest are %s", name, strings.Join(l.nearest(name, 3), ", "))
}

func fold(s string) string {
	return strings.NewReplacer(" ", "-", "_", "-").Replace(strings.ToLower(strings.TrimSpace(s)))
}

// nearest lists the names with the least edit distance.
func (l List) nearest(name string, n int) []string {
	type near struct {
		name string
		d    int
	}
	var all []near
	for _, s := range l.Species {
		best := math.MaxInt
		for _, a := range append([]string{s.Name}, s.Also...) {
			best = min(best, distance(fold(a), fold(name)))
		}
		all = append(all, near{s.Name, best})
	}
	slices.SortStableFunc(all, func(a, b near) int { return a.d - b.d })
	var names []string
	for _, x := range all[:min(n, len(all))] {
		names = append(names, x.name)
	}
	return names
}

// distance counts single-character edits (Levenshtein 1966).
func distance(a, b string) int {
	x, y := []rune(a), []rune(b)
	row := make([]int, len(y)+1)
	for j := range row {
		row[j] = j
	}
	for i := range x {
		last := row[0]
		row[0] = i + 1
		for j := range y {
			cost := last
			if x[i] != y[j] {
				cost = 1 + min(last, row[j], row[j+1])
			}
			last, row[j+1] = row[j+1], cost
		}
	}
	return row[len(y)]
}
