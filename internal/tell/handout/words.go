// Package handout lays out a class: the board, a page for each trainee to take
// home and the teacher's view, as text, HTML, PDF and tables, with drawings. It
// rounds numbers for reading and nothing else; what it shows is in the board.
// Names and file names come from outside and never become code in any format.
package handout

import (
	"fmt"
	"math"
	"netagauge/internal/core/phrase"
	"netagauge/internal/judge/ticket"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/stat"

	"netagauge/internal/core/piece"
	"netagauge/internal/core/uncertainty"
	"netagauge/internal/judge/grade"
	"netagauge/internal/judge/standard"
	"netagauge/internal/keep/board"
	"netagauge/internal/tell/report"
)

// noData stands where a number is not known.
const noData = "no data"

func percent(share float64) string { return uncertainty.Decimal(100*share, 0) + " %" }

// shareText is a criterion's pass share, or that there is none.
func shareText(t board.Trainee, criterion string) string {
	if s, ok := t.Shares[criterion]; ok {
		return percent(s)
	}
	return noData
}

// countText is how many slices got which verdict, in one sentence.
func countText(t board.Trainee) string { return say(t.Count.Says()) }

// countColumns head the columns of countCells, in the order of those.
func countColumns() []string {
	return []string{"slices", say(phrase.Of("verdict-pass")), say(phrase.Of("verdict-unsure")), say(phrase.Of("verdict-fail")), say(phrase.Of("not-counted"))}
}

func countCells(c piece.Count) []int {
	return []int{c.Slices(), c.Good, c.Close, c.Again, c.NotMeasured}
}

// missingText is what to do about slices without numbers on all of a trainee's trays.
func missingText(t board.Trainee) string {
	var out []string
	for _, p := range t.Photos {
		if len(p.Missing) > 0 {
			out = append(out, report.Printable(p.File)+": "+say(p.Missing))
		}
	}
	return strings.Join(out, " ")
}

// nothingText is said where there is nothing to change: never of trays with slices
// that were not measured.
func nothingText(t board.Trainee) string {
	switch {
	case t.Count.NotMeasured > 0:
		return ""
	case t.Count.Measured() == 0:
		return say(phrase.Of("class-unmeasured"))
	}
	return say(phrase.Of("nothing"))
}

// countingText says what close slices and those without numbers count as.
func countingText(t ticket.Ticket) string { return say(t.Standard.Counting()) + "." }

func say(t phrase.Text) string { return phrase.English().Must(t) }

// spreadText is the mean and the sample standard deviation, with how well so many
// slices tell it.
func spreadText(v []float64) string {
	switch len(v) {
	case 0:
		return noData
	case 1:
		return uncertainty.Decimal(v[0], 1)
	}
	mean, sd := stat.MeanStdDev(v, nil)
	return uncertainty.Decimal(mean, 1) + " (sd " + uncertainty.PlusMinus(sd, uncertainty.OfSpread(sd, len(v)), 1) + ")"
}

func gradeText(g grade.Grade) string {
	p, ok := g.Percent()
	if !ok {
		return noData
	}
	return uncertainty.Decimal(p, 0) + " %"
}

// pointsText is the sum behind the grade, and what could not be judged.
func pointsText(g grade.Grade) string {
	var open []string
	for _, c := range g.Criteria {
		if !c.Judged {
			open = append(open, c.Name)
		}
	}
	s := fmt.Sprintf("%s of %s points", uncertainty.Decimal(g.Points, 1), uncertainty.Decimal(g.Of, 0))
	if len(open) > 0 {
		s += "; no data for " + strings.Join(open, ", ") + ", which count neither way"
	}
	return s
}

func trendText(t board.Trainee) string {
	change, known := t.Trend()
	switch {
	case !known:
		return "–"
	case math.Round(change) == 0:
		return "as last time"
	case change > 0:
		return "+" + uncertainty.Decimal(change, 0)
	}
	return "−" + uncertainty.Decimal(-change, 0)
}

// criterionPoints is what a criterion earned, or that it has no data.
func criterionPoints(c grade.Criterion) string {
	if !c.Judged {
		return "no data"
	}
	return fmt.Sprintf("%s of %d", uncertainty.Decimal(c.Points, 1), c.Of)
}

// outsideText names the pieces that speak against a criterion.
func outsideText(c grade.Criterion, severalPhotos bool) string {
	var out []string
	for _, r := range c.Outside {
		s := strconv.Itoa(r.Number)
		if severalPhotos {
			s += " in " + report.Printable(r.File)
		}
		out = append(out, s)
	}
	return strings.Join(out, ", ")
}

// faultText names what stands against a slice; a doubtful fault has a question
// mark.
func faultText(s grade.Slice) string {
	out := piece.Names(s.Faults, ", ")
	if s.Override == nil {
		return out
	}
	by := "counted by hand: " + report.Printable(s.Override.Reason)
	if out == "" {
		return by
	}
	return out + ", " + by
}

// sliceCell is a measure of a slice; empty where it was not measured.
func sliceCell(s grade.Slice, m *piece.Measure) string {
	if s.State != piece.Measured {
		return ""
	}
	return report.Cell(s.Piece, m)
}

// verdictText is the verdict as people say it.
func verdictText(s grade.Slice) string {
	if s.State != piece.Measured {
		return say(phrase.Of("not-counted"))
	}
	return say(phrase.Of("verdict-" + string(s.Verdict)))
}

// otherText says what became of a piece that does not count.
func otherText(o board.Other) string {
	if o.Reason != "" {
		return "not a slice, decided by hand: " + report.Printable(o.Reason)
	}
	if state := piece.State(o.State); state != piece.Foreign {
		return say(phrase.Of("not-counted")) + ": " + say(phrase.Of("state-"+string(state)))
	}
	return "not a slice"
}

// judged are the criteria that are shares of slices, in the order of the scheme.
func judged(s standard.Standard) []string {
	var out []string
	for _, m := range piece.Judged() {
		if s.Grading.Points(m) > 0 {
			out = append(out, m.Key)
		}
	}
	return out
}

// ticketText is what the slices were held against, in one line.
func ticketText(t ticket.Ticket) string {
	species, group := t.Fish()
	var asks []string
	for _, m := range piece.Judged() {
		if low, high := t.Standard.Asks(m, group); low != nil || high != nil {
			asks = append(asks, m.Name()+" "+report.Limits(m, low, high))
		}
	}
	parts := []string{"standard " + t.Standard.Name + ": " + strings.Join(asks, ", ")}
	for _, p := range []string{species, t.Words()} {
		if p != "" {
			parts = append(parts, p)
		}
	}
	return strings.Join(parts, "; ")
}

// numbered puts a trainee's place on the board before the name, so that the
// drawings can be read where their letters lack a script.
func numbered(i int, name string) string { return fmt.Sprintf("%d. %s", i+1, name) }
