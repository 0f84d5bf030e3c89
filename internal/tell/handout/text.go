package handout

import (
	"fmt"
	"io"
	"strconv"
	"time"

	"github.com/jedib0t/go-pretty/v6/table"

	"netagauge/internal/core/phrase"
	"netagauge/internal/judge/standard"
	"netagauge/internal/keep/board"
	"netagauge/internal/tell/report"
)

// Text writes the board as a person reads it at a terminal. absent are those on
// the roster without a photo that counts.
func Text(w io.Writer, b board.Board, absent []string) error {
	if _, err := fmt.Fprintf(w, "%s, %s\n%s\n\n", report.Printable(b.Session), b.HeldOn.Format("2 January 2006"), report.Printable(ticketText(b.Ticket))); err != nil {
		return err
	}
	t := table.NewWriter()
	t.SetStyle(table.StyleLight)
	t.Style().Options = table.OptionsNoBordersAndSeparators
	head := table.Row{"trainee"}
	for _, c := range countColumns() {
		head = append(head, c)
	}
	for _, c := range judged(b.Ticket.Standard) {
		head = append(head, c)
	}
	for _, m := range standard.Banded() {
		head = append(head, m.Head())
	}
	t.AppendHeader(append(head, "grade", "trend"))
	t.Style().Format.Header = 0
	for _, x := range b.Trainees {
		t.AppendRow(textRow(b, x))
	}
	t.SetColumnConfigs([]table.ColumnConfig{{Number: 1, WidthMax: 30}})
	if len(b.Trainees) > 0 {
		if _, err := fmt.Fprintln(w, t.Render()); err != nil {
			return err
		}
	}
	return textNotes(w, b, absent)
}

func textRow(b board.Board, x board.Trainee) table.Row {
	row := table.Row{report.Printable(x.Name)}
	for _, n := range countCells(x.Count) {
		row = append(row, strconv.Itoa(n))
	}
	for _, c := range judged(b.Ticket.Standard) {
		row = append(row, shareText(x, c))
	}
	for _, m := range standard.Banded() {
		row = append(row, spreadText(x.Sizes[m.Key]))
	}
	return append(row, gradeText(x.Grade), trendText(x))
}

func textNotes(w io.Writer, b board.Board, absent []string) error {
	lines := []string{"", countingText(b.Ticket), "Show again: " + phrase.English().Must(b.ShowAgain())}
	for _, t := range b.Trainees {
		for _, p := range t.Photos {
			if p.Thickness != "" {
				lines = append(lines, fmt.Sprintf("thickness in %s (%s): %s", report.Printable(p.File), report.Printable(t.Name), report.Printable(p.Thickness)))
			}
			if len(p.Missing) > 0 {
				lines = append(lines, fmt.Sprintf("%s (%s): %s", report.Printable(p.File), report.Printable(t.Name), say(p.Missing)))
			}
			if p.Refused {
				lines = append(lines, fmt.Sprintf("refused: %s (%s): %s", report.Printable(p.File), report.Printable(t.Name), report.Printable(p.Problem)))
			}
		}
	}
	for _, o := range b.Open {
		lines = append(lines, fmt.Sprintf("counts for nobody: %s: %s", report.Printable(o.File), report.Printable(phrase.English().Must(o.Why))))
	}
	for _, name := range absent {
		lines = append(lines, "no photo of "+report.Printable(name))
	}
	for _, s := range b.Warnings {
		lines = append(lines, report.Printable(s))
	}
	for _, l := range append(lines, say(b.Repeats()), report.Caution()) {
		if _, err := fmt.Fprintln(w, l); err != nil {
			return err
		}
	}
	return nil
}

func dayText(t time.Time) string { return t.Format("2 January 2006") }
