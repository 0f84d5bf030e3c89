package handout

import (
	"slices"
	"strings"

	"netagauge/internal/judge/standard"
	"netagauge/internal/judge/ticket"
	"netagauge/internal/keep/board"
	"netagauge/internal/tell/figure"
)

// classFigures draw each measure of every trainee against the band, and the
// mean grade over the sessions once there are two.
func classFigures(b board.Board) ([]figure.Figure, error) {
	out, err := distributions(b.Ticket, b.Trainees, b.Whole)
	if err != nil {
		return nil, err
	}
	now, graded := b.MeanGrade()
	return withProgress(out, "Mean grade of the class over the sessions", b, b.Past, now, graded)
}

// withProgress adds the grades over the sessions, when there are two or more.
func withProgress(figs []figure.Figure, title string, b board.Board, past []board.Past, now float64, graded bool) ([]figure.Figure, error) {
	if !graded || len(past) == 0 {
		return figs, nil
	}
	var grades []figure.Grade
	for _, p := range past {
		grades = append(grades, figure.Grade{Day: p.HeldOn, Percent: p.Percent})
	}
	f, err := figure.Progress(figure.Letters{Title: title, X: "session", Y: "grade, %", Day: "2 Jan 06"}, append(grades, figure.Grade{Day: b.HeldOn, Percent: now}))
	return append(figs, f), err
}

func distributions(job ticket.Ticket, trainees []board.Trainee, whole board.Sizes) ([]figure.Figure, error) {
	var out []figure.Figure
	_, group := job.Fish()
	for _, m := range standard.Banded() {
		if len(whole[m.Key]) == 0 {
			continue
		}
		band, _ := job.Standard.Band(m, group)
		var rows []figure.Row
		for i, t := range trainees {
			name := t.Name
			if len(trainees) > 1 {
				name = numbered(i, name)
			}
			rows = append(rows, figure.Row{Name: name, Values: t.Sizes[m.Key]})
		}
		for some := range slices.Chunk(rows, maxRows) {
			f, err := figure.Distribution(m.Name(), strings.TrimSpace(m.Unit.Sign), some, figure.Band(band))
			if err != nil {
				return nil, err
			}
			out = append(out, f)
		}
	}
	return out, nil
}

// maxRows is how many trainees one drawing holds, so that it fits a page.
const maxRows = 30

// traineeFigures draw one trainee's measures, and the grades over the sessions
// once there are two.
func traineeFigures(b board.Board, t board.Trainee) ([]figure.Figure, error) {
	out, err := distributions(b.Ticket, []board.Trainee{t}, t.Sizes)
	if err != nil {
		return nil, err
	}
	now, graded := t.Grade.Percent()
	return withProgress(out, "Grades over the sessions", b, t.Past, now, graded)
}
