package class

import (
	"encoding/csv"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/cases"
	"golang.org/x/text/unicode/norm"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/textfile"
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
	data, err := textfile.Read(path, maxRoster)
	if err != nil {
		return Roster{}, err
	}
	r, err := ParseRoster(string(data))
	if err != nil {
		return Roster{}, phrase.At(path, err)
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
	r.put(x)
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

// maxName is how long a name in a list may be, in letters.
const maxName = 60

// With is the roster of a list of names, one a line: who was in it keeps labels and
// minutes, anybody else has the name for a label.
func (r Roster) With(list string) (Roster, error) {
	out := Roster{byLabel: map[string]int{}}
	seen := map[string]int{} // line of a name
	n := 0
	for line := range strings.Lines(list) {
		n++
		name := strings.Join(strings.Fields(line), " ")
		switch {
		case name == "":
			continue
		case utf8.RuneCountInString(name) > maxName:
			return Roster{}, phrase.Wrong("roster-long-name", n, maxName)
		case seen[name] > 0:
			return Roster{}, phrase.Wrong("roster-name-twice", name, seen[name], n)
		}
		seen[name] = n
		for _, x := range r.rows {
			if x.name == name {
				out.put(x)
			}
		}
	}
	for _, name := range slices.SortedFunc(maps.Keys(seen), func(a, b string) int { return seen[a] - seen[b] }) {
		if !slices.Contains(out.Names(), name) {
			out.put(row{label: out.free(name), name: name})
		}
	}
	slices.SortStableFunc(out.rows, func(a, b row) int { return seen[a.name] - seen[b.name] })
	for i, x := range out.rows {
		out.byLabel[key(x.label)] = i
	}
	if len(out.rows) == 0 {
		return Roster{}, phrase.Wrong("roster-empty")
	}
	return out, nil
}

// Without is the roster without a name; its labels are nobody's then.
func (r Roster) Without(name string) Roster {
	out := Roster{byLabel: map[string]int{}}
	for _, x := range r.rows {
		if x.name != name {
			out.put(x)
		}
	}
	return out
}

func (r *Roster) put(x row) {
	r.byLabel[key(x.label)] = len(r.rows)
	r.rows = append(r.rows, x)
}

// free is a label that nobody has yet.
func (r Roster) free(name string) string {
	label := name
	for n := 2; ; n++ {
		if _, taken := r.byLabel[key(label)]; !taken {
			return label
		}
		label = fmt.Sprint(name, " ", n)
	}
}

// CSV is the roster as ParseRoster reads it.
func (r Roster) CSV() (string, error) {
	var b strings.Builder
	w := csv.NewWriter(&b)
	w.Write([]string{"label", "name", "minutes"})
	for _, x := range r.rows {
		minutes := ""
		if x.minutes > 0 {
			minutes = strconv.FormatFloat(x.minutes, 'f', -1, 64)
		}
		w.Write([]string{x.label, x.name, minutes})
	}
	w.Flush()
	return b.String(), w.Error()
}
