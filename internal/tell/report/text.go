// Package report tells the result of checking one tray photo: as text, JSON, CSV,
// HTML and an annotated picture. It rounds numbers for reading; nothing before it
// does. It never measures or judges.
package report

import (
	"fmt"
	"io"
	"os"
	"strings"

	"github.com/fatih/color"
	"github.com/jedib0t/go-pretty/v6/table"
	"github.com/mattn/go-isatty"

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
	_, err := fmt.Fprintln(w, Caution())
	return err
}

// TextPhoto writes one report without the caution, for output that goes on.
func TextPhoto(w io.Writer, useColour bool, r piece.Tray) error {
	r, err := rounded(r, Printable)
	if err != nil {
		return err
	}
	t := newText(useColour)
	t.photo(r)
	_, err = io.WriteString(w, t.String())
	return err
}

// ColourFor reports whether w is a terminal that takes colour: NO_COLOR
// (no-color.org) is not set and TERM is not dumb.
func ColourFor(w io.Writer) bool {
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
	tw := table.NewWriter()
	tw.SetStyle(plainStyle())
	head := table.Row{"", "verdict"}
	for _, m := range piece.Shown() {
		head = append(head, m.Head())
	}
	tw.AppendHeader(head)
	for _, p := range r.Pieces {
		row := table.Row{p.Number, "none"}
		if p.State == piece.Measured {
			row[1] = t.verdict(p.Verdict)
		}
		for _, m := range piece.Shown() {
			row = append(row, t.cell(p, m))
		}
		tw.AppendRow(row)
	}
	for _, l := range strings.Split(tw.Render(), "\n") {
		t.line(" %s", strings.TrimRight(l, " "))
	}
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

// cell is a measure's value, with LOW or HIGH where it does not pass.
func (t *text) cell(p piece.Piece, m *piece.Measure) string {
	f, ok := p.Fault(m)
	switch {
	case !ok:
		return Cell(p, m)
	case f.Unsure:
		return Cell(p, m) + " " + t.warn.Sprint(sideWord(f))
	}
	return Cell(p, m) + " " + t.bad.Sprint(sideWord(f))
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
