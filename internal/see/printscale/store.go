package printscale

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/pelletier/go-toml/v2"

	"netagauge/internal/core/atomicfile"
	"netagauge/internal/core/phrase"
	"netagauge/internal/core/textfile"
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
		return Store{}, err
	}
	s, err := Parse(data)
	if err != nil {
		return Store{}, phrase.At(path, err)
	}
	return s, nil
}

// Parse reads a store from TOML. Unknown keys are errors that show their line.
func Parse(data []byte) (Store, error) {
	var s Store
	if err := textfile.TOML(data, &s); err != nil {
		return Store{}, err
	}
	if err := s.check(); err != nil {
		return Store{}, err
	}
	return s, nil
}

// Text is what Parse reads.
func (s Store) Text() (string, error) {
	if err := s.check(); err != nil {
		return "", err
	}
	text, err := toml.Marshal(s)
	return string(text), err
}

// Save writes the store whole or not at all, and makes its folder.
func (s Store) Save(path string) error {
	text, err := s.Text()
	if err != nil {
		return err
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		return err
	}
	return atomicfile.WritePrivate(path, []byte(text))
}

func (s Store) check() error {
	seen := map[string]bool{}
	for _, r := range s.Prints {
		switch {
		case strings.TrimSpace(r.Mat) == "":
			return phrase.Wrong("prints-no-name")
		case seen[r.Mat]:
			return phrase.Wrong("prints-twice", r.Mat)
		case !(r.Scale > least && r.Scale < most):
			return phrase.Wrong("prints-scale", r.Mat, r.Scale, least, most)
		case !(r.U > 0 && r.U < most-1):
			return phrase.Wrong("prints-u", r.Mat, r.U)
		}
		seen[r.Mat] = true
	}
	return nil
}
