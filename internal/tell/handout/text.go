package handout

import (
	"fmt"
	"io"
	"strconv"
	"strings"

	"github.com/jedib0t/go-pretty/v6/table"
	"github.com/jedib0t/go-pretty/v6/text"

	"netagauge/internal/judge/standard"
	"netagauge/internal/keep/board"
	"netagauge/internal/tell/report"
)

// nameColumns is how wide a name is in a table of the terminal, at most.
const nameColumns = 22

// Text writes the board as a person reads it at a terminal: who cut how many, then
// what lies within the standard, with mean and standard deviation.
func (p Papers) Text(w io.Writer) error {
	l := p.say()
	if _, err := fmt.Fprintf(w, "%s, %s\n%s\n\n", report.Printable(p.Session), l.day(p.HeldOn), report.Printable(l.ticket(p.Ticket))); err != nil {
		return err
	}
	for _, t := range []table.Writer{p.counts(), p.sizes()} {
		if len(p.Trainees) == 0 {
			break
		}
		for line := range strings.Lines(t.Render() + "\n") {
			if _, err := fmt.Fprintln(w, strings.TrimRight(line, " \n")); err != nil {
				return err
			}
		}
		fmt.Fprintln(w)
	}
	return p.notes(w)
}

func plainTable() table.Writer {
	t := table.NewWriter()
	t.SetStyle(table.StyleDefault)
	t.Style().Options = table.OptionsNoBordersAndSeparators
	t.Style().Format.Header = text.FormatDefault
	t.Style().Box.PaddingLeft = ""
	t.SetColumnConfigs([]table.ColumnConfig{{Number: 1, WidthMax: nameColumns, WidthMaxEnforcer: text.WrapSoft}, {Number: 6, WidthMax: 12, WidthMaxEnforcer: text.WrapSoft}})
	return t
}

func (p Papers) counts() table.Writer {
	l, t := p.say(), plainTable()
	head := table.Row{l.Word("paper-trainee")}
	for _, c := range l.countHeads() {
		head = append(head, c)
	}
	t.AppendHeader(append(head, l.Word("paper-grade"), l.Word("paper-since")))
	for _, x := range p.Trainees {
		row := table.Row{report.Printable(x.Name)}
		for _, n := range countCells(x.Count) {
			row = append(row, strconv.Itoa(n))
		}
		t.AppendRow(append(row, l.grade(x.Grade), l.trend(x)))
	}
	return t
}

// sizes has a share within the standard over the mean of a measure.
func (p Papers) sizes() table.Writer {
	l, t := p.say(), plainTable()
	head := table.Row{l.Word("paper-trainee")}
	columns := p.shownMeasures()
	for _, c := range columns {
		head = append(head, c.head)
	}
	t.AppendHeader(head)
	for _, x := range p.Trainees {
		row := table.Row{report.Printable(x.Name)}
		for _, c := range columns {
			row = append(row, strings.Join(c.cells(x), "\n"))
		}
		t.AppendRow(row)
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

func (p Papers) notes(w io.Writer) error {
	l := p.say()
	lines := []string{l.counting(p.Ticket), l.Word("paper-again") + l.Must(p.ShowAgain())}
	for _, t := range p.Trainees {
		name := report.Printable(t.Name)
		for _, x := range t.Photos {
			file := report.Printable(x.File)
			if x.Thickness != "" {
				lines = append(lines, l.Word("paper-thickness-in", file, name, report.Printable(x.Thickness)))
			}
			if len(x.Missing) > 0 {
				lines = append(lines, l.Word("paper-of-photo", file, name)+l.Must(x.Missing))
			}
		}
	}
	for _, s := range append(append(lines, p.notCounted()...), l.Must(p.Repeats()), l.caution()) {
		if _, err := fmt.Fprintln(w, s); err != nil {
			return err
		}
	}
	return nil
}
