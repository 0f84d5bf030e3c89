// Package report tells the result of checking one tray photo: as text, JSON, CSV,
// HTML and an annotated picture. It rounds numbers for reading; nothing before it
// does. It never measures or judges.
package report

import (
	"fmt"
	"io"
	"os"
	"strconv"
	"strings"

	"github.com/fatih/color"
	"github.com/mattn/go-isatty"

	"netagauge/internal/core/piece"
	"netagauge/internal/tell/terminal"
)

// Text writes reports as a person reads them at a terminal, then the caution.
// What fails stands out in words; colour, when wanted, only repeats it.
func (l Words) Text(w io.Writer, useColour bool, reports ...piece.Tray) error {
	for _, r := range reports {
		if err := l.TextPhoto(w, useColour, r); err != nil {
			return err
		}
	}
	return l.Summary(w, reports...)
}

// Summary closes the text on reports: of several trays a table of them all, then
// the caution.
func (l Words) Summary(w io.Writer, reports ...piece.Tray) error {
	t := l.text(false)
	if len(reports) > 1 {
		t.summary(reports)
	}
	t.line("%s", t.Word("caution"))
	_, err := io.WriteString(w, terminal.Fold(t.String()))
	return err
}

// TextPhoto writes one report without the caution, for output that goes on.
func (l Words) TextPhoto(w io.Writer, useColour bool, r piece.Tray) error {
	r, err := readable(r)
	if err != nil {
		return err
	}
	t := l.text(useColour)
	t.photo(r)
	_, err = io.WriteString(w, terminal.Fold(t.String()))
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
	Words
	strings.Builder
	bad, warn, strong *color.Color
}

func (l Words) text(useColour bool) *text {
	t := &text{
		Words:  l,
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
		t.line("  %s", t.mat(*r.Mat))
	}
	t.problems(r)
	if r.Status == piece.TrayRefused {
		t.line("")
		return
	}
	t.table(r)
	t.faults(r)
	if note := t.note(r); note != "" && len(r.MeasuredPieces()) > 0 {
		t.line("  %s", note)
	}
	if r.Count().Slices() > 0 {
		t.line("  %s", t.strong.Sprint(t.tray(r)))
	}
	if missing := t.missing(r); missing != "" {
		t.line("  %s", t.warn.Sprint(missing))
	}
	if r.Tally != nil {
		for _, a := range t.lessons(*r.Tally) {
			t.line("  %s", a)
		}
	}
	if r.Standard != "" {
		t.line("  %s", t.standard(r))
	}
	t.line("")
}

func (t *text) problems(r piece.Tray) {
	word, paint := t.Word("said-warning"), t.warn
	if r.Status == piece.TrayRefused {
		word, paint = t.Word("said-refused"), t.bad
	}
	for _, p := range r.Problems {
		t.line("  %s (%s): %s", paint.Sprint(word), p.Code, t.kept(p.Says, p.Message))
		if p.Remedy != "" {
			t.line("    %s", t.Word("said-remedy", t.kept(p.Cure, p.Remedy)))
		}
	}
	if r.Status == piece.TrayRefused && len(r.Problems) == 0 {
		t.line("  %s: %s", t.bad.Sprint(word), t.Word("failed-title"))
	}
}

func (t *text) table(r piece.Tray) {
	if len(r.Pieces) == 0 {
		return
	}
	tab := terminal.Table{Head: []string{"", ""}}
	for _, m := range piece.Shown() {
		tab.Head = append(tab.Head, t.head(m))
	}
	for _, p := range r.Pieces {
		row := []string{strconv.Itoa(p.Number), "–"}
		if p.State == piece.Measured {
			row[1] = t.verdict(p.Verdict)
		}
		for _, m := range piece.Shown() {
			row = append(row, t.cell(p, m))
		}
		tab.Rows = append(tab.Rows, row)
	}
	t.WriteString(tab.String())
}

// summary is a row a tray, then all of them together.
func (t *text) summary(reports []piece.Tray) {
	tab := terminal.Table{
		Head:    []string{t.Word("sum-tray"), t.Word("sum-slices"), t.Words.verdict(piece.Pass), t.Words.verdict(piece.Unsure), t.Words.verdict(piece.Fail), t.Word("not-counted"), ""},
		Numbers: func(column int) bool { return column >= 1 && column <= 5 },
	}
	var all piece.Count
	row := func(name string, c piece.Count, refused string) {
		cells := []string{name}
		for _, n := range []int{c.Slices(), c.Good, c.Close, c.Again, c.NotMeasured} {
			cells = append(cells, strconv.Itoa(n))
		}
		tab.Rows = append(tab.Rows, append(cells, refused))
	}
	for _, r := range reports {
		c, refused := r.Count(), ""
		if r.Status == piece.TrayRefused {
			refused = t.Word("sum-refused")
		}
		all = all.Plus(c)
		row(Printable(r.Photo.File), c, refused)
	}
	row(t.Word("sum-all", len(reports)), all, "")
	t.WriteString(tab.String())
	t.line("")
}

func (t *text) verdict(v piece.Verdict) string {
	switch v {
	case piece.Fail:
		return t.bad.Sprint(t.Words.verdict(v))
	case piece.Unsure:
		return t.warn.Sprint(t.Words.verdict(v))
	}
	return t.Words.verdict(v)
}

// cell is a measure's value, and under it what is wrong where it does not pass.
func (t *text) cell(p piece.Piece, m *piece.Measure) string {
	f, ok := p.Fault(m)
	switch {
	case !ok:
		return Cell(p, m)
	case f.Unsure:
		return Cell(p, m) + "\n" + t.warn.Sprint(t.side(f))
	}
	return Cell(p, m) + "\n" + t.bad.Sprint(t.side(f))
}

// faults lists what stands against each piece and what to do about it, which is said
// once where pieces have it in common, and why a piece has no numbers.
func (t *text) faults(r piece.Tray) {
	first := map[string]int{} // piece that was told the same, by the advice's keys
	for _, p := range r.Pieces {
		if p.State != piece.Measured {
			t.line("  %2d %s: %s", p.Number, t.Word("not-counted"), t.state(p))
		}
		if s := t.surface(p); s != "" {
			t.line("  %2d %s", p.Number, s)
		}
		if p.WedgeAdvice != "" {
			t.line("     %s", t.kept(p.WedgeSays, p.WedgeAdvice))
		}
		for _, f := range p.Faults {
			says := t.sentence(f)
			as, told := first[f.Says.Keys()]
			if told {
				says += t.Word("do-as", as)
			}
			t.line("  %2d %s: %s", p.Number, t.verdict(f.Verdict()), says)
			if f.Advice != "" && !told {
				t.line("     %s", t.kept(f.Says, f.Advice))
			}
			if len(f.Says) > 0 && !told {
				first[f.Says.Keys()] = p.Number
			}
		}
	}
}
