package class

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"netagauge/internal/judge/ticket"
)

// WeightsFile lies beside the photos of a class and holds what a scale showed of
// slices weighed one by one: CSV with the columns photo, slice and grams.
const WeightsFile = "weights.csv"

// Weights are the readings of a class's trays, by the file of the tray's photo,
// as a ticket has them ("1:11.8,2:12.4").
type Weights map[string]string

// LoadWeights reads the readings in a folder, nil where there are none. Each must
// be of one of the trays, and such as the ticket of that tray can bear.
func LoadWeights(folder string, trays []Tray, job ticket.Ticket) (Weights, error) {
	path := filepath.Join(folder, WeightsFile)
	data, err := os.ReadFile(path)
	if errors.Is(err, os.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, fmt.Errorf("read weights: %w", err)
	}
	w, err := ParseWeights(string(data))
	if err != nil {
		return nil, fmt.Errorf("weights %q: %w", path, err)
	}
	for file := range w {
		if !slices.ContainsFunc(trays, func(t Tray) bool { return t.File == file }) {
			return nil, fmt.Errorf("weights %q: there is no tray %q; write the file of its photo as it is named inside the folder", path, file)
		}
		if err := w.of(job, file).Check(); err != nil {
			return nil, fmt.Errorf("weights %q, photo %q: %w", path, file, err)
		}
	}
	return w, nil
}

// of is the ticket of the tray in a file.
func (w Weights) of(job ticket.Ticket, file string) ticket.Ticket {
	if told := w[file]; told != "" {
		job.Weights = told
	}
	return job
}

// ParseWeights reads CSV with a head line: the columns photo, slice and grams in
// any order. A row without grams is a slice that was not weighed.
func ParseWeights(text string) (Weights, error) {
	in := csv.NewReader(strings.NewReader(strings.TrimPrefix(text, "\ufeff")))
	head, err := in.Read()
	if err != nil {
		return nil, errors.New("it needs a head line: photo,slice,grams")
	}
	var columns [3]int
	for i, name := range []string{"photo", "slice", "grams"} {
		if columns[i] = slices.IndexFunc(head, func(h string) bool { return key(h) == name }); columns[i] < 0 {
			return nil, fmt.Errorf("its head line %q must name the columns photo, slice and grams", strings.Join(head, ","))
		}
	}
	out := Weights{}
	for {
		cells, err := in.Read()
		if errors.Is(err, io.EOF) {
			return out, nil
		}
		if err != nil {
			return nil, err
		}
		photo, slice, grams := strings.TrimSpace(cells[columns[0]]), strings.TrimSpace(cells[columns[1]]), strings.TrimSpace(cells[columns[2]])
		if grams == "" {
			continue
		}
		if photo == "" || slice == "" {
			line, _ := in.FieldPos(0)
			return nil, fmt.Errorf("line %d: a photo and a slice's number are needed beside its weight", line)
		}
		if out[photo] != "" {
			out[photo] += ","
		}
		out[photo] += slice + ":" + grams
	}
}
