package handout

import (
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"netagauge/internal/core/piece"
	"netagauge/internal/judge/standard"
	"netagauge/internal/keep/board"
	"netagauge/internal/tell/report"
	"netagauge/internal/tell/terminal"
)

// Text writes the board as a person reads it at a terminal: who cut how many, then
// what lies within the standard, with mean and standard deviation.
func (p Papers) Text(w io.Writer) error {
	l := p.say()
	var out strings.Builder
	fmt.Fprintf(&out, "%s, %s\n%s\n\n", report.Printable(p.Session), l.day(p.HeldOn), report.Printable(p.FactsLine()))
	if len(p.Trainees) > 0 {
		fmt.Fprintf(&out, "%v\n%v\n", p.counts(), p.sizes())
	}
	for _, s := range p.notes() {
		out.WriteString(s + "\n")
	}
	_, err := io.WriteString(w, terminal.Fold(out.String()))
	return err
}

func (p Papers) counts() terminal.Table {
	l := p.say()
	heads := l.countHeads()
	t := terminal.Table{Head: append([]string{l.Word("paper-trainee")}, append(heads, l.Word("paper-grade"), l.Word("paper-since"))...),
		Numbers: func(column int) bool { return column >= 1 && column <= len(heads) }}
	for _, x := range p.Trainees {
		row := []string{report.Printable(x.Name)}
		for _, n := range countCells(x.Count) {
			row = append(row, strconv.Itoa(n))
		}
		t.Rows = append(t.Rows, append(row, l.grade(x.Grade), l.trend(x)))
	}
	return t
}

// sizes has a share within the standard over the mean of a measure.
func (p Papers) sizes() terminal.Table {
	t := terminal.Table{Head: []string{p.say().Word("paper-trainee")}}
	columns := p.shownMeasures()
	for _, c := range columns {
		t.Head = append(t.Head, c.head)
	}
	for _, x := range p.Trainees {
		row := []string{report.Printable(x.Name)}
		for _, c := range columns {
			row = append(row, strings.Join(c.cells(x), "\n"))
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

// shownMeasure is a column of the board: the share within the standard, where the
// scheme has one, and the mean, where the standard has a band.
type shownMeasure struct {
	head  string
	cells func(board.Trainee) []string
}

func (p Papers) shownMeasures() []shownMeasure {
	l := p.say()
	var out []shownMeasure
	banded := map[string]bool{}
	for _, m := range standard.Banded() {
		banded[m.Key] = true
		out = append(out, shownMeasure{l.head(m), func(t board.Trainee) []string {
			return append([]string{l.share(t, m.Key)}, strings.Split(l.spread(m, t.Sizes[m.Key]), "\n")...)
		}})
	}
	for _, key := range judged(p.Ticket.Standard) {
		if !banded[key] {
			out = append(out, shownMeasure{l.criterion(key), func(t board.Trainee) []string { return []string{l.share(t, key)} }})
		}
	}
	return out
}

// notes are the sentences below the tables.
func (p Papers) notes() []string {
	l := p.say()
	lines := []string{p.Counting(), l.Word("paper-again") + l.Must(p.ShowAgain())}
	for _, t := range p.Trainees {
		name := report.Printable(t.Name)
		for _, x := range t.Photos {
			file := report.Printable(x.File)
			if others := slices.DeleteFunc(p.FactsOf(x), func(f piece.Fact) bool { return f.What == "photo" }); len(others) > 0 {
				lines = append(lines, l.Word("paper-of-photo", file, name)+report.Printable(report.Words{Language: p.Words}.Facts(others)))
			}
			if x.Thickness != "" {
				lines = append(lines, l.Word("paper-thickness-in", file, name, report.Printable(x.Thickness)))
			}
			if len(x.Missing) > 0 {
				lines = append(lines, l.Word("paper-of-photo", file, name)+l.Must(x.Missing))
			}
		}
	}
	return append(append(lines, p.notCounted()...), l.Must(p.Repeats()), l.caution())
}
