// Package report tells the result of checking one tray photo: as text, JSON, CSV,
// HTML and an annotated picture. It rounds numbers for reading; nothing before it
// does. It never measures or judges.
package report

import (
	"fmt"
	"io"
	"os"
	"slices"
	"strings"

	"github.com/fatih/color"
	"github.com/jedib0t/go-pretty/v6/table"
	prettytext "github.com/jedib0t/go-pretty/v6/text"
	"github.com/mattn/go-isatty"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
)

// Text writes reports as a person reads them at a terminal, then the caution.
// What fails stands out in words; colour, when wanted, only repeats it.
func Text(w io.Writer, useColour bool, reports ...piece.Tray) error {
	for _, r := range reports {
		if err := TextPhoto(w, useColour, r); err != nil {
			return err
		}
	}
	return Summary(w, reports...)
}

// Summary closes the text on reports: of several trays a table of them all, then
// the caution.
func Summary(w io.Writer, reports ...piece.Tray) error {
	t := newText(false)
	if len(reports) > 1 {
		t.summary(reports)
	}
	t.line("%s", Caution())
	_, err := io.WriteString(w, t.String())
	return err
}

// TextPhoto writes one report without the caution, for output that goes on.
func TextPhoto(w io.Writer, useColour bool, r piece.Tray) error {
	r, err := readable(r)
	if err != nil {
		return err
	}
	t := newText(useColour)
	t.photo(r)
	_, err = io.WriteString(w, t.String())
	return err
}

// Colour says when a text has colour.
type Colour string

// The choices. Auto, which the zero value is too, means on a terminal that takes
// it: NO_COLOR (no-color.org) is not set and TERM is not dumb.
const (
	ColourAuto   Colour = "auto"
	ColourAlways Colour = "always"
	ColourNever  Colour = "never"
)

// On reports whether a text on w has colour.
func (c Colour) On(w io.Writer) bool {
	switch c {
	case ColourAlways:
		return true
	case ColourNever:
		return false
	}
	f, ok := w.(*os.File)
	return ok && isatty.IsTerminal(f.Fd()) && os.Getenv("NO_COLOR") == "" && os.Getenv("TERM") != "dumb"
}

type text struct {
	strings.Builder
	bad, warn, strong *color.Color
}

func newText(useColour bool) *text {
	t := &text{
		bad:    color.New(color.FgRed, color.Bold),
		warn:   color.New(color.FgYellow),
		strong: color.New(color.Bold),
	}
	for _, c := range []*color.Color{t.bad, t.warn, t.strong} {
		if useColour {
			c.EnableColor()
		} else {
			c.DisableColor()
		}
	}
	return t
}

func (t *text) line(format string, a ...any) { fmt.Fprintf(t, format+"\n", a...) }

func (t *text) photo(r piece.Tray) {
	t.line("%s", t.strong.Sprint(r.Photo.File))
	if r.Mat != nil {
		t.line("  %s", matText(*r.Mat))
	}
	t.problems(r)
	if r.Status == piece.TrayRefused {
		t.line("")
		return
	}
	if r.Standard != "" {
		t.line("  standard: %s%s", r.Standard, prefixed(", species: ", r.Species))
	}
	t.table(r)
	t.faults(r)
	if note := weightNote(r); note != "" && len(r.MeasuredPieces()) > 0 {
		t.line("  %s", note)
	}
	if r.Count().Slices() > 0 {
		t.line("  %s", t.strong.Sprint(trayText(r)))
	}
	if missing := missingText(r); missing != "" {
		t.line("  %s", t.warn.Sprint(missing))
	}
	if r.Tally != nil {
		for _, a := range r.Tally.Advice {
			t.line("  %s", a)
		}
	}
	t.line("")
}

func (t *text) problems(r piece.Tray) {
	word, paint := "warning", t.warn
	if r.Status == piece.TrayRefused {
		word, paint = "REFUSED", t.bad
	}
	for _, p := range r.Problems {
		t.line("  %s (%s): %s", paint.Sprint(word), p.Code, p.Message)
		if p.Remedy != "" {
			t.line("    what to do: %s", p.Remedy)
		}
	}
	if r.Status == piece.TrayRefused && len(r.Problems) == 0 {
		t.line("  %s: the photo could not be measured", t.bad.Sprint(word))
	}
}

func (t *text) table(r piece.Tray) {
	if len(r.Pieces) == 0 {
		return
	}
	tw := newTable()
	head := table.Row{"", ""}
	for _, m := range piece.Shown() {
		head = append(head, m.Head())
	}
	tw.AppendHeader(head)
	for _, p := range r.Pieces {
		row := table.Row{p.Number, "–"}
		if p.State == piece.Measured {
			row[1] = t.verdict(p.Verdict)
		}
		for _, m := range piece.Shown() {
			row = append(row, t.cell(p, m))
		}
		tw.AppendRow(row)
	}
	t.table80(tw)
}

// summary is a row a tray, then all of them together.
func (t *text) summary(reports []piece.Tray) {
	tw := newTable()
	tw.AppendHeader(table.Row{say(phrase.Of("sum-tray")), say(phrase.Of("sum-slices")), verdictWord(piece.Pass), verdictWord(piece.Unsure), verdictWord(piece.Fail), say(phrase.Of("not-counted")), ""})
	tw.SetColumnConfigs([]table.ColumnConfig{{Number: 1, WidthMax: 32}})
	var all piece.Count
	row := func(name string, c piece.Count, refused string) {
		tw.AppendRow(table.Row{name, c.Slices(), c.Good, c.Close, c.Again, c.NotMeasured, refused})
	}
	for _, r := range reports {
		c, refused := r.Count(), ""
		if r.Status == piece.TrayRefused {
			refused = say(phrase.Of("sum-refused"))
		}
		all = all.Plus(c)
		row(Printable(r.Photo.File), c, refused)
	}
	row(say(phrase.Of("sum-all", float64(len(reports)))), all, "")
	t.table80(tw)
	t.line("")
}

// columns is the widest line of a table.
const columns = 80

// table80 writes a table; one that would be wider than columns has its columns
// closer together.
func (t *text) table80(tw table.Writer) {
	lines := strings.Split(tw.Render(), "\n")
	if slices.ContainsFunc(lines, func(l string) bool { return width(l) > columns }) {
		tw.Style().Box.PaddingRight = ""
		lines = strings.Split(tw.Render(), "\n")
	}
	for _, l := range lines {
		t.line("%s", strings.TrimRight(l, " "))
	}
}

// width is how many columns of a terminal a line takes.
func width(line string) int {
	return prettytext.StringWidthWithoutEscSequences(strings.TrimRight(line, " "))
}

func newTable() table.Writer {
	tw := table.NewWriter()
	tw.SetStyle(plainStyle())
	return tw
}

func plainStyle() table.Style {
	s := table.StyleDefault
	s.Options = table.OptionsNoBordersAndSeparators
	s.Format.Header = 0 // leave the units as they are written
	return s
}

func (t *text) verdict(v piece.Verdict) string {
	switch v {
	case piece.Fail:
		return t.bad.Sprint(verdictWord(v))
	case piece.Unsure:
		return t.warn.Sprint(verdictWord(v))
	}
	return verdictWord(v)
}

// cell is a measure's value, and under it what is wrong where it does not pass.
func (t *text) cell(p piece.Piece, m *piece.Measure) string {
	f, ok := p.Fault(m)
	switch {
	case !ok:
		return Cell(p, m)
	case f.Unsure:
		return Cell(p, m) + "\n" + t.warn.Sprint(sideWord(f))
	}
	return Cell(p, m) + "\n" + t.bad.Sprint(sideWord(f))
}

// faults lists what stands against each piece and what to do about it, and why
// a piece has no numbers.
func (t *text) faults(r piece.Tray) {
	for _, p := range r.Pieces {
		if p.State != piece.Measured {
			t.line("  %2d not measured: %s", p.Number, stateText(p))
		}
		if s := surfaceText(p); s != "" {
			t.line("  %2d %s", p.Number, s)
		}
		if p.WedgeAdvice != "" {
			t.line("     %s", p.WedgeAdvice)
		}
		for _, f := range p.Faults {
			t.line("  %2d %s: %s", p.Number, t.verdict(f.Verdict()), sentence(f))
			if f.Advice != "" {
				t.line("     %s", f.Advice)
			}
		}
	}
}

func prefixed(prefix, s string) string {
	if s == "" {
		return ""
	}
	return prefix + s
}
