// Package textfile reads the short texts that people write for the program by hand
// or in a spreadsheet: standards, species, profiles, rosters. Its errors say what to
// mend, and in which line, in every language.
package textfile

import (
	"bytes"
	"errors"
	"io"
	"os"
	"strings"

	"github.com/pelletier/go-toml/v2"

	"netagauge/internal/core/phrase"
)

// Read reads a file of so many bytes at most. Its errors name the file.
func Read(path string, most int64) ([]byte, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, most+1))
	if err != nil {
		return nil, err
	}
	if int64(len(data)) > most {
		return nil, phrase.At(path, phrase.Wrong("file-too-large", most))
	}
	return data, nil
}

// TOML reads what v has keys for. A key that v lacks is an error with its line, and
// so is a line that cannot be read.
func TOML(data []byte, v any) error {
	err := toml.NewDecoder(bytes.NewReader(data)).DisallowUnknownFields().Decode(v)
	var unknown *toml.StrictMissingError
	var bad *toml.DecodeError
	switch {
	case err == nil:
		return nil
	case errors.As(err, &unknown):
		var all []error
		for _, e := range unknown.Errors {
			row, _ := e.Position()
			all = append(all, phrase.Wrong("toml-unknown", strings.Join(e.Key(), "."), row))
		}
		return errors.Join(all...)
	case errors.As(err, &bad):
		row, _ := bad.Position()
		line := strings.Split(string(data), "\n")[row-1]
		return phrase.Wrong("toml-line", strings.ToValidUTF8(strings.TrimSpace(line), "�"), row).For(err)
	}
	return phrase.Wrong("toml-text").For(err)
}
