package standard

import (
	"sync"

	"netagauge/calibration"
	"netagauge/internal/core/phrase"
	"netagauge/internal/core/textfile"
)

// maxBytes bounds a standard's file; a real one is some 2 kB.
const maxBytes = 1 << 20

// Default returns the built-in standard for slices for nigiri.
func Default() Standard { return builtinNigiri() }

// Practice returns the built-in standard for practice slices, slightly larger.
func Practice() Standard { return builtinPractice() }

var builtinNigiri = sync.OnceValue(func() Standard {
	return must(parseOver(Standard{}, calibration.StandardNigiri))
})

var builtinPractice = sync.OnceValue(func() Standard {
	return must(parseOver(Default(), calibration.StandardPractice))
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
	data, err := textfile.Read(path, maxBytes)
	if err != nil {
		return Standard{}, err
	}
	s, err := Parse(data)
	if err != nil {
		return s, phrase.At(path, err)
	}
	return s, nil
}

// Parse reads a standard from TOML. What the text leaves out keeps the value of
// Default, except the name, which it must give. Errors are texts of the phrasebook
// with the line; limits that contradict each other name the key and its values.
func Parse(data []byte) (Standard, error) {
	base := Default()
	base.Name = ""
	return parseOver(base, data)
}

func parseOver(base Standard, data []byte) (Standard, error) {
	s := base
	if err := textfile.TOML(data, &s); err != nil {
		return Standard{}, err
	}
	if err := s.validate(); err != nil {
		return Standard{}, placed(err, data)
	}
	return s, nil
}
