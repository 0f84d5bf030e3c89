package class

import (
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strconv"

	"netagauge/internal/core/phrase"
	"netagauge/internal/judge/ticket"
)

// The sheets beside the photos of a class that tell of single trays: what a scale
// showed of slices weighed one by one, with the columns photo, slice and grams; and
// what fish lies on a tray, how thick, with the columns photo, species and
// thickness.
const (
	WeightsFile = "weights.csv"
	TraysFile   = "trays.csv"
)

// Told is what was told of single trays, by the file of the tray's photo. What is
// empty is as the class's own ticket says.
type Told map[string]OfTray

// OfTray is what was told of one tray, as a ticket has it: Weights are
// "1:11.8,2:12.4".
type OfTray struct{ Species, Thickness, Weights string }

// LoadTold reads the sheets in a folder. Each row must be of one of the trays, and
// such as the ticket of that tray can bear.
func LoadTold(folder string, trays []Tray, job ticket.Ticket) (Told, error) {
	out := Told{}
	for _, s := range []struct {
		file  string
		parse func(string, Told) error
	}{{WeightsFile, parseWeights}, {TraysFile, parseTrays}} {
		path := filepath.Join(folder, s.file)
		data, err := os.ReadFile(path)
		if errors.Is(err, os.ErrNotExist) {
			continue
		}
		if err != nil {
			return nil, err
		}
		if err := s.parse(string(data), out); err != nil {
			return nil, phrase.At(path, err)
		}
		if err := out.check(trays, job); err != nil {
			return nil, phrase.At(path, err)
		}
	}
	return out, nil
}

func (w Told) check(trays []Tray, job ticket.Ticket) error {
	for file := range w {
		if !slices.ContainsFunc(trays, func(t Tray) bool { return t.File == file }) {
			return phrase.Wrong("sheet-no-tray", strconv.Quote(file))
		}
		if err := w.of(job, file).Check(); err != nil {
			return phrase.At(file, err)
		}
	}
	return nil
}

// of is the ticket of the tray in a file.
func (w Told) of(job ticket.Ticket, file string) ticket.Ticket {
	told := w[file]
	if told.Species != "" {
		job.Species = told.Species
	}
	if told.Thickness != "" {
		job.Thickness, job.Pitch, job.Profile = told.Thickness, "", nil
	}
	if told.Weights != "" {
		job.Weights = told.Weights
	}
	return job
}

// parseWeights reads the weights; a row without grams is a slice that was not
// weighed.
func parseWeights(text string, into Told) error {
	rows, s, err := readSheet(text, []string{"photo", "slice", "grams"}, nil)
	if err != nil {
		return err
	}
	for _, r := range rows {
		file, slice, grams := r.cells["photo"], r.cells["slice"], s.number(r.cells["grams"])
		if grams == "" {
			continue
		}
		if file == "" || slice == "" {
			return phrase.Wrong("sheet-weight", float64(r.line))
		}
		told := into[file]
		if told.Weights != "" {
			told.Weights += ","
		}
		told.Weights += slice + ":" + grams
		into[file] = told
	}
	return nil
}

// parseTrays reads what fish lies on which tray, and how thick.
func parseTrays(text string, into Told) error {
	rows, s, err := readSheet(text, []string{"photo"}, []string{"species", "thickness"})
	if err != nil {
		return err
	}
	seen := map[string]bool{}
	for _, r := range rows {
		file := r.cells["photo"]
		switch {
		case file == "":
			return phrase.Wrong("sheet-photo", float64(r.line))
		case seen[file]:
			return phrase.Wrong("sheet-twice", file, float64(r.line))
		}
		seen[file] = true
		told := into[file]
		told.Species, told.Thickness = r.cells["species"], s.number(r.cells["thickness"])
		into[file] = told
	}
	return nil
}
