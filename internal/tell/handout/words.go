// Package handout lays out a class: the board, a page for each trainee to take
// home and the teacher's view, as text, HTML, PDF and tables, with drawings. It
// rounds numbers for reading and nothing else; what it shows is in the board.
// Names and file names come from outside and never become code in any format.
package handout

import (
	"fmt"
	"math"
	"netagauge/internal/judge/ticket"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/stat"

	"netagauge/internal/judge/grade"
	"netagauge/internal/judge/standard"
	"netagauge/internal/tell/report"
	"netagauge/internal/work/board"
)

// noData stands where a number is not known.
const noData = "no data"

func decimal(v float64, digits int) string {
	scale := math.Pow10(digits)
	return strconv.FormatFloat(math.Round(v*scale)/scale+0, 'f', digits, 64)
}

func percent(share float64) string { return decimal(100*share, 0) + " %" }

// shareText is a criterion's pass share, or that there is none.
func shareText(t board.Trainee, criterion string) string {
	if s, ok := t.Shares[criterion]; ok {
		return percent(s)
	}
	return noData
}

// passText is how many measured slices pass.
func passText(t board.Trainee) string {
	if t.Measured() == 0 {
		return noData
	}
	return fmt.Sprintf("%d of %d", t.Passed, t.Measured())
}

// spreadText is the mean and the sample standard deviation.
func spreadText(v []float64) string {
	switch len(v) {
	case 0:
		return noData
	case 1:
		return decimal(v[0], 1)
	}
	mean, sd := stat.MeanStdDev(v, nil)
	return decimal(mean, 1) + " (sd " + decimal(sd, 1) + ")"
}

func gradeText(g grade.Grade) string {
	p, ok := g.Percent()
	if !ok {
		return noData
	}
	return decimal(p, 0) + " %"
}

// pointsText is the sum behind the grade, and what could not be judged.
func pointsText(g grade.Grade) string {
	var open []string
	for _, c := range g.Criteria {
		if !c.Judged {
			open = append(open, c.Name)
		}
	}
	s := fmt.Sprintf("%s of %s points", decimal(g.Points, 1), decimal(g.Of, 0))
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
		return "+" + decimal(change, 0)
	}
	return "−" + decimal(-change, 0)
}

// criterionPoints is what a criterion earned, or that it has no data.
func criterionPoints(c grade.Criterion) string {
	if !c.Judged {
		return "no data"
	}
	return fmt.Sprintf("%s of %d", decimal(c.Points, 1), c.Of)
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

func plusMinus(v, u float64, digits int) string {
	scale := math.Pow10(digits)
	return decimal(v, digits) + " ± " + strconv.FormatFloat(math.Ceil(u*scale-1e-6)/scale, 'f', digits, 64)
}

func weightText(s grade.Slice) string {
	switch {
	case s.Weight == nil:
		return "–"
	case s.WeightU == nil:
		return decimal(*s.Weight, 1)
	}
	return plusMinus(*s.Weight, *s.WeightU, 1)
}

// faultText names what stands against a slice; a doubtful fault has a question
// mark.
func faultText(s grade.Slice) string {
	var out []string
	for _, f := range s.Faults {
		w := f.What
		if f.Unsure {
			w += "?"
		}
		out = append(out, w)
	}
	if s.Decision != nil {
		out = append(out, "counted by hand: "+report.Printable(s.Decision.Reason))
	}
	return strings.Join(out, ", ")
}

// verdictText is the verdict, a failure in capitals.
func verdictText(s grade.Slice) string {
	switch {
	case s.State != report.PieceMeasured:
		return "not measured"
	case s.Verdict == report.Fail:
		return "FAIL"
	}
	return string(s.Verdict)
}

// otherText says what became of a piece that does not count.
func otherText(o board.Other) string {
	if o.Reason != "" {
		return "not a slice, decided by hand: " + report.Printable(o.Reason)
	}
	switch report.State(o.State) {
	case report.PieceCutOff:
		return "not counted: runs off the field"
	case report.PieceTouching:
		return "not counted: touches its neighbour"
	}
	return "not a slice"
}

// judged are the criteria that are shares of slices, in the order of the scheme.
func judged(s standard.Standard) []string {
	var out []string
	for _, c := range []struct {
		name   string
		points int
	}{{"length", s.Grading.Length}, {"width", s.Grading.Width}, {"weight", s.Grading.Weight}, {"cover", s.Grading.Cover}} {
		if c.points > 0 {
			out = append(out, c.name)
		}
	}
	return out
}

// ticketText is what the slices were held against, in one line.
func ticketText(t ticket.Ticket) string {
	species, group := t.Fish()
	s, w := t.Standard, t.Standard.WeightFor(group)
	parts := []string{fmt.Sprintf("standard %s: length %g to %g mm, width %g to %g mm, weight %g to %g g, rice cover %g %% or more",
		s.Name, s.Length.Low, s.Length.High, s.Width.Low, s.Width.High, w.Low, w.High, 100*s.Rice.CoverFloor)}
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
