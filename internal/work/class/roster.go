package class

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"os"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/cases"
	"golang.org/x/text/unicode/norm"

	"netagauge/internal/core/phrase"
)

// maxRoster bounds a roster's file, maxMinutes a trainee's time.
const (
	maxRoster  = 4 << 20
	maxMinutes = 24 * 60
)

// Roster maps the labels of trays to the names of trainees. Labels differ by
// more than case and spaces.
type Roster struct {
	rows    []row
	byLabel map[string]int
}

type row struct {
	label, name string
	minutes     float64 // 0 when not entered
}

// LoadRoster reads a roster from a CSV file; see ParseRoster.
func LoadRoster(path string) (Roster, error) {
	f, err := os.Open(path)
	if err != nil {
		return Roster{}, fmt.Errorf("read roster: %w", err)
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, maxRoster+1))
	switch {
	case err != nil:
		return Roster{}, fmt.Errorf("read roster: %w", err)
	case len(data) > maxRoster:
		return Roster{}, fmt.Errorf("roster %q: %w", path, phrase.Wrong("roster-too-large", maxRoster))
	}
	r, err := ParseRoster(string(data))
	if err != nil {
		return Roster{}, fmt.Errorf("roster %q: %w", path, err)
	}
	return r, nil
}

// ParseRoster reads CSV with a head line: the columns label and name, and, for
// the pace, minutes, in any order. Names come through exactly, but for spaces
// around them.
func ParseRoster(text string) (Roster, error) {
	if !utf8.ValidString(text) {
		return Roster{}, phrase.Wrong("roster-utf8")
	}
	in := csv.NewReader(strings.NewReader(strings.TrimPrefix(text, "\ufeff")))
	head, err := in.Read()
	switch {
	case errors.Is(err, io.EOF):
		return Roster{}, phrase.Wrong("roster-no-head")
	case err != nil:
		return Roster{}, broken(err)
	}
	columns, err := columnsOf(head)
	if err != nil {
		return Roster{}, err
	}
	r := Roster{byLabel: map[string]int{}}
	for {
		cells, err := in.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return Roster{}, broken(err)
		}
		line, _ := in.FieldPos(0)
		if err := r.add(line, cells, columns); err != nil {
			return Roster{}, err
		}
	}
	if len(r.rows) == 0 {
		return Roster{}, phrase.Wrong("roster-empty")
	}
	return r, nil
}

// columnsOf finds label, name and minutes in the head; minutes is -1 without.
func columnsOf(head []string) ([3]int, error) {
	out := [3]int{-1, -1, -1}
	for i, h := range head {
		switch key(h) {
		case "label":
			out[0] = i
		case "name":
			out[1] = i
		case "minutes":
			out[2] = i
		}
	}
	if out[0] < 0 || out[1] < 0 {
		return out, phrase.WrongName("roster-head", strconv.Quote(strings.Join(head, ",")))
	}
	return out, nil
}

// broken is what the CSV reader could not read, by its line.
func broken(err error) error {
	var bad *csv.ParseError
	if !errors.As(err, &bad) {
		return err
	}
	key := "roster-quote"
	if errors.Is(bad.Err, csv.ErrFieldCount) {
		key = "roster-cells"
	}
	return &phrase.Error{Says: phrase.Of(key, float64(bad.Line)), Cause: err}
}

func (r *Roster) add(line int, cells []string, columns [3]int) error {
	x := row{label: strings.TrimSpace(cells[columns[0]]), name: strings.TrimSpace(cells[columns[1]])}
	if x.label == "" || x.name == "" {
		return phrase.Wrong("roster-lacks", float64(line))
	}
	if columns[2] >= 0 {
		if m := strings.TrimSpace(cells[columns[2]]); m != "" {
			var err error
			if x.minutes, err = strconv.ParseFloat(m, 64); err != nil || !(x.minutes > 0 && x.minutes <= maxMinutes) {
				return phrase.WrongName("roster-minutes", strconv.Quote(m)).With(float64(line), maxMinutes)
			}
		}
	}
	if i, there := r.byLabel[key(x.label)]; there {
		return phrase.WrongName("roster-twice", strconv.Quote(x.label), strconv.Quote(r.rows[i].name)).With(float64(line))
	}
	r.byLabel[key(x.label)] = len(r.rows)
	r.rows = append(r.rows, x)
	return nil
}

// key makes labels comparable: case, composition and spaces aside.
func key(label string) string {
	return cases.Fold().String(norm.NFC.String(strings.Join(strings.Fields(label), " ")))
}

// Known reports whether there is a roster at all.
func (r Roster) Known() bool { return len(r.rows) > 0 }

// Name finds whose a label is.
func (r Roster) Name(label string) (string, bool) {
	i, ok := r.byLabel[key(label)]
	if !ok {
		return "", false
	}
	return r.rows[i].name, true
}

// Names lists the trainees in the roster's order, each once.
func (r Roster) Names() []string {
	var out []string
	for _, x := range r.rows {
		if !slices.Contains(out, x.name) {
			out = append(out, x.name)
		}
	}
	return out
}

// Minutes are the minutes entered, by name; those of several labels add up.
func (r Roster) Minutes() map[string]float64 {
	out := map[string]float64{}
	for _, x := range r.rows {
		if x.minutes > 0 {
			out[x.name] += x.minutes
		}
	}
	return out
}
