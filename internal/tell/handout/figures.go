package handout

import (
	"slices"
	"strconv"
	"strings"

	"netagauge/internal/core/piece"
	"netagauge/internal/core/uncertainty"
	"netagauge/internal/judge/standard"
	"netagauge/internal/keep/board"
	"netagauge/internal/tell/figure"
)

// plot is a drawing with what it shows, for those who do not see it.
type plot struct {
	figure.Figure
	Alt string
}

// classPlots draw each measure of every trainee against the band, and the mean
// grade over the sessions once there are two.
func (p Papers) classPlots() ([]plot, error) {
	out, err := p.distributions(p.Trainees, p.Whole)
	if err != nil {
		return nil, err
	}
	now, graded := p.MeanGrade()
	return p.withProgress(out, p.Words.Word("paper-plot-class"), p.Past, now, graded)
}

// traineePlots draw one trainee's measures, and the grades over the sessions once
// there are two.
func (p Papers) traineePlots(t board.Trainee) ([]plot, error) {
	out, err := p.distributions([]board.Trainee{t}, t.Sizes)
	if err != nil {
		return nil, err
	}
	now, graded := t.Grade.Percent()
	return p.withProgress(out, p.Words.Word("paper-plot-own"), t.Past, now, graded)
}

// withProgress adds the grades over the sessions, when there are two or more.
func (p Papers) withProgress(plots []plot, title string, past []board.Past, now float64, graded bool) ([]plot, error) {
	if !graded || len(past) == 0 {
		return plots, nil
	}
	var grades []figure.Grade
	var said []any
	for _, x := range append(slices.Clone(past), board.Past{HeldOn: p.HeldOn, Percent: now}) {
		grades = append(grades, figure.Grade{Day: x.HeldOn, Percent: x.Percent})
		said = append(said, uncertainty.Decimal(x.Percent, 0)+" %")
	}
	f, err := figure.Progress(figure.Letters{Title: title, X: p.Words.Word("paper-session"), Y: p.Words.Word("paper-percent"), Day: p.Words.Word("paper-day-short")}, figure.Course{Grades: grades})
	return append(plots, plot{f, p.Words.Word("paper-alt-grades", said...)}), err
}

func (p Papers) distributions(trainees []board.Trainee, whole board.Sizes) ([]plot, error) {
	var out []plot
	_, group := p.Ticket.Fish()
	for _, m := range standard.Banded() {
		if len(whole[m.Key]) == 0 {
			continue
		}
		band, _ := p.Ticket.Standard.Band(m, group)
		var rows []figure.Row
		for i, t := range trainees {
			name := t.Name
			if len(trainees) > 1 {
				name = numbered(i, name)
			}
			rows = append(rows, figure.Row{Name: name, Values: t.Sizes[m.Key]})
		}
		for some := range slices.Chunk(rows, maxRows) {
			f, err := figure.Distribution(p.letters(m, band), some, figure.Band(band))
			if err != nil {
				return nil, err
			}
			out = append(out, plot{f, p.altSlices(m, band, some)})
		}
	}
	return out, nil
}

// letters are the title and the axis of a measure's drawing.
func (p Papers) letters(m *piece.Measure, band standard.Limits) figure.Letters {
	return figure.Letters{Title: p.bandWords("paper-plot", m, band), X: p.Words.Word("paper-axis", m.Key, strings.TrimSpace(m.Unit.Sign))}
}

func (p Papers) bandWords(key string, m *piece.Measure, band standard.Limits, more ...any) string {
	short := func(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }
	return p.Words.Word(key, append([]any{m.Key, short(band.Low), short(band.High), strings.TrimSpace(m.Unit.Sign)}, more...)...)
}

// altSlices says in words what a drawing of slices shows: how many lie where.
func (p Papers) altSlices(m *piece.Measure, band standard.Limits, rows []figure.Row) string {
	var within, below, above float64
	for _, r := range rows {
		for _, v := range r.Values {
			switch {
			case v < band.Low:
				below++
			case v > band.High:
				above++
			default:
				within++
			}
		}
	}
	return p.bandWords("paper-alt-slices", m, band, within, below, above)
}

// maxRows is how many trainees one drawing holds, so that it fits a page.
const maxRows = 30
