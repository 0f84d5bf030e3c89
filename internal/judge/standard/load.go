package standard

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"sync"

	"github.com/pelletier/go-toml/v2"

	"netagauge/calibration"
)

// maxBytes bounds a standard's file; a real one is some 2 kB.
const maxBytes = 1 << 20

// Default returns the built-in standard for slices for nigiri.
func Default() Standard { return builtinNigiri() }

// Practice returns the built-in standard for practice slices, slightly larger.
func Practice() Standard { return builtinPractice() }

var builtinNigiri = sync.OnceValue(func() Standard {
	return must(parseOver(Standard{}, "standard-nigiri.toml", calibration.StandardNigiri))
})

var builtinPractice = sync.OnceValue(func() Standard {
	return must(parseOver(Default(), "standard-practice.toml", calibration.StandardPractice))
})

// must is for the embedded files only, which the tests parse.
func must(s Standard, err error) Standard {
	if err != nil {
		panic(err)
	}
	return s
}

// Load reads a standard from a TOML file; see Parse.
func Load(path string) (Standard, error) {
	f, err := os.Open(path)
	if err != nil {
		return Standard{}, fmt.Errorf("read house standard: %w", err)
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, maxBytes+1))
	if err != nil {
		return Standard{}, fmt.Errorf("read house standard: %w", err)
	}
	if len(data) > maxBytes {
		return Standard{}, fmt.Errorf("house standard %q is larger than %d bytes; it should be a short TOML file", path, maxBytes)
	}
	return Parse(path, data)
}

// Parse reads a standard from TOML. What the text leaves out keeps the value of
// Default, except the name, which it must give. Unknown keys are errors that
// show their line; limits that contradict each other are errors that name the
// key and its values. The name is used in errors only.
func Parse(name string, data []byte) (Standard, error) {
	base := Default()
	base.Name = ""
	return parseOver(base, name, data)
}

func parseOver(base Standard, name string, data []byte) (Standard, error) {
	s := base
	err := toml.NewDecoder(bytes.NewReader(data)).DisallowUnknownFields().Decode(&s)
	if err != nil {
		return Standard{}, tomlError(name, err)
	}
	if err := s.validate(); err != nil {
		return Standard{}, fmt.Errorf("house standard %q: %w", name, err)
	}
	return s, nil
}

// tomlError shows the place in the file, as the TOML library draws it.
func tomlError(name string, err error) error {
	var unknown *toml.StrictMissingError
	if errors.As(err, &unknown) {
		return fmt.Errorf("house standard %q has keys that no standard has; remove or correct them:\n%s", name, unknown.String())
	}
	var bad *toml.DecodeError
	if errors.As(err, &bad) {
		row, col := bad.Position()
		return fmt.Errorf("house standard %q, line %d, column %d:\n%s", name, row, col, bad.String())
	}
	return fmt.Errorf("house standard %q: %w", name, err)
}
