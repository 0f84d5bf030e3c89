package class

import (
	"fmt"
	"io"
	"os"
	"slices"
	"strconv"
	"strings"

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

// ParseRoster reads a sheet with the columns label and name, and, for the pace,
// minutes. Names come through exactly, but for spaces around them.
func ParseRoster(text string) (Roster, error) {
	rows, s, err := readSheet(text, []string{"label", "name"}, []string{"minutes"})
	if err != nil {
		return Roster{}, err
	}
	r := Roster{byLabel: map[string]int{}}
	for _, x := range rows {
		if err := r.add(x, s.number(x.cells["minutes"])); err != nil {
			return Roster{}, err
		}
	}
	if len(r.rows) == 0 {
		return Roster{}, phrase.Wrong("roster-empty")
	}
	return r, nil
}

func (r *Roster) add(from sheetRow, minutes string) error {
	x, line := row{label: from.cells["label"], name: from.cells["name"]}, float64(from.line)
	if x.label == "" || x.name == "" {
		return phrase.Wrong("roster-lacks", line)
	}
	if minutes != "" {
		var err error
		if x.minutes, err = strconv.ParseFloat(minutes, 64); err != nil || !(x.minutes > 0 && x.minutes <= maxMinutes) {
			return phrase.Wrong("roster-minutes", strconv.Quote(minutes), line, maxMinutes)
		}
	}
	if i, there := r.byLabel[key(x.label)]; there {
		return phrase.Wrong("roster-twice", strconv.Quote(x.label), strconv.Quote(r.rows[i].name), line)
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
