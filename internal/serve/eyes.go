package serve

import (
	"context"
	"net/http"
	"slices"
	"time"

	"netagauge/internal/core/phrase"
	"netagauge/internal/judge/evidence"
	"netagauge/internal/judge/eye"
	"netagauge/internal/keep/account"
	"netagauge/internal/tell/figure"
)

// eyeCourse is a trainee's eye by day, in percent of right guesses.
func eyeCourse(guesses []eye.Guess) []figure.Grade {
	var out []figure.Grade
	for _, d := range eye.Days(guesses) {
		out = append(out, figure.Grade{Day: d.On.Local(), Percent: 100 * float64(d.Right) / float64(d.N)})
	}
	return out
}

// leads compares guesses with grades, the earliest first.
func leads(guesses []eye.Guess, hand []figure.Grade) eye.Lead {
	var classes []eye.Class
	for _, g := range hand {
		classes = append(classes, eye.Class{On: g.Day, Grade: g.Percent})
	}
	return eye.Leads(guesses, classes)
}

// leadRows are its correlations for a file.
func leadRows(name string, l eye.Lead) (out [][]any) {
	add := func(what string, known bool, by evidence.Interval) {
		if known {
			out = append(out, []any{name, nil, what, nil, by.Value, by.Low, by.High, "correlation", l.Classes})
		}
	}
	add("right guesses with the grade after them", l.EyeOK, l.Eye)
	add("grade with the right guesses after it", l.HandOK, l.Hand)
	return out
}

// leadSays is whether the eye is ahead of the hand, with its correlations.
func leadSays(l eye.Lead) phrase.Text {
	return phrase.Of(l.Says(), float64(l.Classes), l.Eye.Value, l.Eye.Low, l.Eye.High, l.Hand.Value, l.Hand.Low, l.Hand.High)
}

// eyeTrend draws how the eye and the hand come on, day by day: whether the one leads the
// other. By the class code there are no earlier days.
func (s *Server) eyeTrend(w http.ResponseWriter, r *http.Request, who account.Session) error {
	if who.Limited {
		return errNotFound
	}
	guesses, err := s.guesses(r.Context(), who)
	if err != nil {
		return err
	}
	hand, err := s.grades(r.Context(), who.Who)
	if err != nil {
		return err
	}
	l := s.language(r)
	f, err := figure.Progress(figure.Letters{Y: l.Word("eye-percent"), Day: time.DateOnly},
		figure.Course{Name: l.Word("eye-eye"), Grades: eyeCourse(guesses)}, figure.Course{Name: l.Word("eye-hand"), Grades: hand})
	if err != nil {
		return err
	}
	return s.drawing(w, r, f)
}

// eyeRow is what an instructor sees of one trainee's eye.
type eyeRow struct {
	Name     string
	N, Right int
	Habit    *readingData // the surest; nil where there is none
	Hand     *float64     // grade in percent
}

// eyesShown are as many guesses of each as the board of eyes is made of, the latest.
const eyesShown = 200

// classEyes shows whose eye is where, beside the hand.
func (s *Server) classEyes(w http.ResponseWriter, r *http.Request, _ account.Session) error {
	rows, err := s.eyeRows(r.Context())
	if err != nil {
		return err
	}
	return s.show(w, r, http.StatusOK, "eyes", page{Title: "eyes-title", Here: "class", Back: "/class", Data: rows})
}

func (s *Server) eyeRows(ctx context.Context) ([]eyeRow, error) {
	roster, err := s.readRoster(ctx)
	if err != nil {
		return nil, err
	}
	b, _, err := s.openBoard(ctx)
	if err != nil {
		return nil, err
	}
	hands := map[string]float64{}
	names := roster.Names()
	for _, t := range b.Trainees {
		if percent, graded := t.Grade.Percent(); graded {
			hands[t.Name] = percent
		}
		if !slices.Contains(names, t.Name) {
			names = append(names, t.Name)
		}
	}
	all, err := s.Folder.Book().LastGuesses(ctx, names, eyesShown)
	if err != nil {
		return nil, err
	}
	var out []eyeRow
	for _, name := range names {
		guesses := all[name]
		row := eyeRow{Name: name, N: len(guesses)}
		for _, g := range guesses {
			if g.Right() {
				row.Right++
			}
		}
		for _, x := range readingsOf(guesses) {
			if x.Sure() && row.Habit == nil {
				row.Habit = &x
			}
		}
		if hand, ok := hands[name]; ok {
			row.Hand = &hand
		}
		out = append(out, row)
	}
	return out, nil
}
