// Package handout lays out a class: the board, a page for each trainee to take
// home and the teacher's view, as text, HTML, PDF and tables, with drawings, in any
// language of the phrasebook. It rounds numbers for reading and nothing else; what
// it shows is in the board. Names and file names come from outside and never become
// code in any format.
package handout

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"gonum.org/v1/gonum/stat"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/core/uncertainty"
	"netagauge/internal/judge/grade"
	"netagauge/internal/judge/standard"
	"netagauge/internal/keep/board"
	"netagauge/internal/tell/report"
)

// Papers are what a class is handed out as.
type Papers struct {
	board.Board
	Absent   []string // on the roster, without a photo that counts
	Words    *phrase.Language
	Pictures Pictures
}

// Pictures returns the annotated JPEG of a photo; it may be empty.
type Pictures func(board.Photo) ([]byte, error)

// words say what papers show, in their language.
type words struct{ *phrase.Language }

func (p Papers) say() words { return words{p.Words} }

func (l words) noData() string { return l.Word("paper-no-data") }

func (l words) day(t time.Time) string { return t.Format(l.Word("paper-day")) }

func percent(share float64) string { return uncertainty.Decimal(100*share, 0) + " %" }

// share is a criterion's pass share, or that there is none.
func (l words) share(t board.Trainee, criterion string) string {
	if s, ok := t.Shares[criterion]; ok {
		return percent(s)
	}
	return l.noData()
}

// count is how many slices got which verdict, in one sentence.
func (l words) count(t board.Trainee) string { return l.Must(t.Count.Says()) }

// countHeads head the columns of countCells, in the order of those.
func (l words) countHeads() []string {
	return []string{l.Word("paper-slices"), l.Word("verdict-pass"), l.Word("verdict-unsure"), l.Word("verdict-fail"), l.Word("not-counted")}
}

func countCells(c piece.Count) []int {
	return []int{c.Slices(), c.Good, c.Close, c.Again, c.NotMeasured}
}

// head is a measure with its unit, over its column.
func (l words) head(m *piece.Measure) string {
	if m.Unit == piece.Share {
		return l.Word(m.Key)
	}
	return strings.TrimSpace(l.Word(m.Key) + " " + strings.TrimSpace(m.Unit.Sign))
}

// missing is what to do about slices without numbers on all of a trainee's trays.
func (l words) missing(t board.Trainee) string {
	var out []string
	for _, p := range t.Photos {
		if len(p.Missing) > 0 {
			out = append(out, report.Printable(p.File)+": "+l.Must(p.Missing))
		}
	}
	return strings.Join(out, " ")
}

// nothing is said where there is nothing to change: never of trays with slices
// that were not measured.
func (l words) nothing(t board.Trainee) string {
	switch {
	case t.Count.NotMeasured > 0:
		return ""
	case t.Count.Measured() == 0:
		return l.Word("class-unmeasured")
	}
	return l.Word("nothing")
}

// Counting says what close slices and those without numbers count as and, where no
// weight does, what it takes.
func (p Papers) Counting() string {
	says := p.Words.Must(p.Ticket.Standard.Counting()) + p.Words.Word("paper-end")
	if measured := p.Whole[piece.Length.Key]; len(measured) > 0 && len(p.Whole[piece.Weight.Key]) == 0 {
		says += " " + p.Words.Word("paper-weight-needs")
	}
	return says
}

// spread is the mean and, in a line of its own, the sample standard deviation with
// how well so many slices tell it.
func (l words) spread(m *piece.Measure, v []float64) string {
	in := func(x float64) string { return uncertainty.Decimal(x*m.Unit.Scale, m.Digits) }
	switch len(v) {
	case 0:
		return l.noData()
	case 1:
		return in(v[0])
	}
	mean, sd := stat.MeanStdDev(v, nil)
	scale := m.Unit.Scale
	return l.Word("paper-sd", in(mean), uncertainty.PlusMinus(sd*scale, uncertainty.OfSpread(sd, len(v))*scale, m.Digits))
}

func (l words) grade(g grade.Grade) string {
	p, ok := g.Percent()
	if !ok {
		return l.noData()
	}
	return uncertainty.Decimal(p, 0) + " %"
}

// points is the sum behind the grade, and what could not be judged.
func (l words) points(g grade.Grade) string {
	var open []string
	for _, c := range g.Criteria {
		if !c.Judged {
			open = append(open, l.criterion(c.Name))
		}
	}
	says := phrase.Of("paper-points-of", g.Points, g.Of)
	if len(open) > 0 {
		says = says.And(phrase.Named("paper-neither", open...))
	}
	return l.Must(says)
}

// criterion is a criterion's name.
func (l words) criterion(name string) string {
	own := map[string]string{"evenness": "paper-evenness", "count": "paper-count", "pace": "paper-pace"}
	if key, ok := own[name]; ok {
		return l.Word(key)
	}
	return l.Word(name)
}

func (l words) trend(t board.Trainee) string {
	change, known := t.Trend()
	switch {
	case !known:
		return "–"
	case math.Round(change) == 0:
		return l.Word("paper-same")
	case change > 0:
		return "+" + uncertainty.Decimal(change, 0)
	}
	return "−" + uncertainty.Decimal(-change, 0)
}

// earned is what a criterion earned, or that it has no data.
func (l words) earned(c grade.Criterion) string {
	if !c.Judged {
		return l.noData()
	}
	return l.Must(phrase.Of("paper-part-of", c.Points, float64(c.Of)))
}

// outside names the pieces that speak against a criterion.
func (l words) outside(c grade.Criterion, severalPhotos bool) string {
	var out []string
	for _, r := range c.Outside {
		if severalPhotos {
			out = append(out, l.Word("paper-in", r.Number, report.Printable(r.File)))
		} else {
			out = append(out, strconv.Itoa(r.Number))
		}
	}
	return l.List(out)
}

// why names what stands against a slice; a doubtful fault has a question mark.
func (l words) why(s grade.Slice) string {
	var out []string
	for _, f := range s.Faults {
		out = append(out, l.Must(report.Mark(f)))
	}
	switch {
	case s.Override == nil:
	case s.Override.Judges():
		out = append(out, l.Word("paper-verdict-by-hand", report.Printable(s.Override.Reason), l.Word("verdict-"+string(s.Found))))
	default:
		out = append(out, l.Word("paper-by-hand", report.Printable(s.Override.Reason)))
	}
	return l.List(out)
}

// sliceCell is a measure of a slice; empty where it was not measured.
func sliceCell(s grade.Slice, m *piece.Measure) string {
	if s.State != piece.Measured {
		return ""
	}
	return report.Cell(s.Piece, m)
}

// verdict is the verdict as people say it.
func (l words) verdict(s grade.Slice) string {
	if s.State != piece.Measured {
		return l.Word("not-counted")
	}
	return l.Word("verdict-" + string(s.Verdict))
}

// other says what became of a piece that does not count.
func (l words) other(o board.Other) string {
	if o.Reason != "" {
		return l.Word("paper-no-slice-by-hand", report.Printable(o.Reason))
	}
	if state := piece.State(o.State); state != piece.Foreign {
		return l.Word("not-counted") + ": " + l.Word("state-"+string(state))
	}
	return l.Word("mark-foreign")
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

// FactsLine is what the class's results rest on, in one line.
func (p Papers) FactsLine() string { return report.Words{Language: p.Words}.Facts(p.Facts()) }

// FactsLineOf are those of one photo that are not the class's; empty where there are none.
func (p Papers) FactsLineOf(x board.Photo) string {
	apart := p.FactsOf(x)
	if len(apart) == 0 {
		return ""
	}
	return report.Words{Language: p.Words}.Facts(apart)
}

// refused are the photos that were not measured.
func (p Papers) refused() []board.Photo {
	var out []board.Photo
	for _, t := range p.Trainees {
		for _, photo := range t.Photos {
			if photo.Refused {
				out = append(out, photo)
			}
		}
	}
	return out
}

// notCounted are the lines on what counts for nobody.
func (p Papers) notCounted() []string {
	l := p.say()
	var lines []string
	for _, x := range p.refused() {
		lines = append(lines, l.Word("paper-refused", report.Printable(x.File))+l.Must(x.Problem))
	}
	for _, o := range p.Open {
		lines = append(lines, l.Word("paper-for-nobody", report.Printable(o.File))+report.Printable(l.Must(o.Why)))
	}
	for _, name := range p.Absent {
		lines = append(lines, l.Word("paper-absent", report.Printable(name)))
	}
	for _, w := range p.Warnings {
		lines = append(lines, report.Printable(l.Must(w)))
	}
	return lines
}

// numbered puts a trainee's place on the board before the name.
func numbered(i int, name string) string { return fmt.Sprintf("%d. %s", i+1, name) }

// cautions are the full list, and caution the short one.
func (l words) cautions() []string {
	var out []string
	for _, key := range report.CautionKeys {
		out = append(out, l.Word(key))
	}
	return out
}

func (l words) caution() string { return l.Word("caution") }
