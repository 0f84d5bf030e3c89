// Package terminal lays text and tables out for a terminal, within 80 columns.
// Nothing is cut: what is too long goes on below.
package terminal

import (
	"strings"

	"github.com/jedib0t/go-pretty/v6/text"

	"netagauge/internal/core/lines"
)

// Columns is the widest line: that of every terminal, from the oldest on.
const Columns = 80

// Width is how many columns a line takes; kana and kanji take two, colour none.
func Width(line string) int { return text.StringWidthWithoutEscSequences(line) }

func width(s string) float64 { return float64(Width(s)) }

// hang is how much further in the rest of a line stands that was broken.
const hang = 2

// Fold breaks the lines of a text that are too wide; what follows stands a little
// further in than the line it belongs to.
func Fold(s string) string {
	var out strings.Builder
	for line := range strings.Lines(s) {
		line, ended := strings.CutSuffix(line, "\n")
		out.WriteString(fold(line))
		if ended {
			out.WriteByte('\n')
		}
	}
	return out.String()
}

func fold(line string) string {
	if Width(line) <= Columns {
		return line
	}
	text := strings.TrimLeft(line, " ")
	indent := strings.Repeat(" ", min(len(line)-len(text)+hang, Columns/2))
	parts := lines.Break(text, float64(Columns-len(indent)), width)
	return indent[hang:] + strings.Join(parts, "\n"+indent)
}
