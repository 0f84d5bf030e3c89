package printscale

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/pelletier/go-toml/v2"

	"netagauge/internal/core/atomicfile"
	"netagauge/internal/core/uncertainty"
)

// Record is one mat's measured scale, with its expanded uncertainty (k = 2),
// the object it was measured with and the day. Mat is the name under which the
// caller knows that one print.
type Record struct {
	Mat    string  `toml:"mat"`
	Scale  float64 `toml:"scale"`
	U      float64 `toml:"expanded_uncertainty"`
	Object string  `toml:"object"`
	Day    string  `toml:"day"`
}

// Value is the scale with its standard uncertainty.
func (r Record) Value() uncertainty.Value {
	return uncertainty.Value{X: r.Scale, U: r.U / uncertainty.Coverage}
}

// Store holds the measured scales of a kitchen's mats, one a mat.
type Store struct {
	Prints []Record `toml:"print"`
}

// Find returns the record of a mat.
func (s Store) Find(mat string) (Record, bool) {
	i := slices.IndexFunc(s.Prints, func(r Record) bool { return r.Mat == mat })
	if i < 0 {
		return Record{}, false
	}
	return s.Prints[i], true
}

// With returns the store with a mat's record added or replaced.
func (s Store) With(r Record) Store {
	out := Store{slices.DeleteFunc(slices.Clone(s.Prints), func(o Record) bool { return o.Mat == r.Mat })}
	out.Prints = append(out.Prints, r)
	return out
}

// Load reads the store's file; one that does not exist is an empty store.
func Load(path string) (Store, error) {
	data, err := os.ReadFile(path)
	if errors.Is(err, fs.ErrNotExist) {
		return Store{}, nil
	}
	if err != nil {
		return Store{}, fmt.Errorf("read print scales: %w", err)
	}
	return Parse(path, data)
}

// Parse reads a store from TOML. Unknown keys are errors that show their line.
// The name of the file is used in errors only.
func Parse(file string, data []byte) (Store, error) {
	var s Store
	if err := toml.NewDecoder(bytes.NewReader(data)).DisallowUnknownFields().Decode(&s); err != nil {
		return Store{}, tomlError(file, err)
	}
	if err := s.check(); err != nil {
		return Store{}, fmt.Errorf("print scales %q: %w; correct it, or delete the file and measure again", file, err)
	}
	return s, nil
}

// Save writes the store whole or not at all, and makes its folder.
func (s Store) Save(path string) error {
	if err := s.check(); err != nil {
		return err
	}
	text, err := toml.Marshal(s)
	if err != nil {
		return fmt.Errorf("write print scales: %w", err)
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		return fmt.Errorf("write print scales: %w", err)
	}
	return atomicfile.WritePrivate(path, text)
}

func (s Store) check() error {
	seen := map[string]bool{}
	for _, r := range s.Prints {
		switch {
		case strings.TrimSpace(r.Mat) == "":
			return errors.New("a mat has no name")
		case seen[r.Mat]:
			return fmt.Errorf("mat %q is in it twice", r.Mat)
		case !(r.Scale > least && r.Scale < most):
			return fmt.Errorf("mat %q has a scale of %g; a printer makes %g to %g", r.Mat, r.Scale, least, most)
		case !(r.U > 0 && r.U < most-1):
			return fmt.Errorf("mat %q has an uncertainty of %g", r.Mat, r.U)
		}
		seen[r.Mat] = true
	}
	return nil
}

// tomlError shows the place in the file, as the TOML library draws it.
func tomlError(file string, err error) error {
	var unknown *toml.StrictMissingError
	if errors.As(err, &unknown) {
		return fmt.Errorf("print scales %q has keys that are not known; remove or correct them:\n%s", file, unknown.String())
	}
	var bad *toml.DecodeError
	if errors.As(err, &bad) {
		row, col := bad.Position()
		return fmt.Errorf("print scales %q, line %d, column %d:\n%s", file, row, col, bad.String())
	}
	return fmt.Errorf("print scales %q: %w", file, err)
}
