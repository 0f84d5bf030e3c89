package standard

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"sync"

	"github.com/pelletier/go-toml/v2"

	"netagauge/calibration"
	"netagauge/internal/core/phrase"
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
		return Standard{}, fmt.Errorf("house standard %q: %w", path, phrase.Wrong("std-too-large", maxBytes))
	}
	return Parse(path, data)
}

// Parse reads a standard from TOML. What the text leaves out keeps the value of
// Default, except the name, which it must give. Errors are texts of the phrasebook
// with the line; limits that contradict each other name the key and its values.
// The name is used in errors only.
func Parse(name string, data []byte) (Standard, error) {
	base := Default()
	base.Name = ""
	return parseOver(base, name, data)
}

func parseOver(base Standard, name string, data []byte) (Standard, error) {
	s := base
	err := toml.NewDecoder(bytes.NewReader(data)).DisallowUnknownFields().Decode(&s)
	if err != nil {
		return Standard{}, fmt.Errorf("house standard %q: %w", name, unread(err, data))
	}
	if err := s.validate(); err != nil {
		return Standard{}, fmt.Errorf("house standard %q: %w", name, placed(err, data))
	}
	return s, nil
}
