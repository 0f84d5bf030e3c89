package serve

import (
	"context"
	"net/http"
	"slices"

	"netagauge/internal/core/piece"
	"netagauge/internal/judge/coach"
	"netagauge/internal/keep/account"
	"netagauge/internal/keep/board"
	"netagauge/internal/keep/intake"
)

// needRow is a trainee on the board, with the last tray.
type needRow struct {
	Name, Why string
	Lesson    *lessonData // what to show; nil where the photo is the trouble, or nothing is
	Shot      string      // of the last tray; empty where it is not in the list any more
	View      string      // address of its picture; empty for none
	Marks     []string    // of its slices
}

// lookedBack is how many photos of a class the board looks at for everybody's last.
const lookedBack = 400

// needs are those whom the teacher visits now, and those who do well.
func (s *Server) needs(ctx context.Context, l lang, class string, b board.Board) (needs, fine []needRow, err error) {
	shots, err := s.Folder.List(ctx, intake.Filter{Kind: intake.Class, Session: class, Last: lookedBack})
	if err != nil {
		return nil, nil, err
	}
	last := map[string]intake.Shot{}
	for _, x := range shots {
		if x.Result != 0 {
			last[x.Who] = x
		}
	}
	row := func(t board.Trainee) needRow {
		out := needRow{Name: t.Name}
		if x, ok := last[t.Name]; ok {
			out.Shot, out.View = "/shots/"+x.ID, viewAddress(x.ID, x.Result)
		}
		if n := len(t.Photos); n > 0 {
			now := t.Photos[n-1]
			for _, p := range now.Slices {
				if p.State == piece.Measured {
					out.Marks = append(out.Marks, classes[p.Verdict])
				}
			}
			out.Marks = append(out.Marks, slices.Repeat([]string{"none"}, now.Count.NotMeasured)...)
		}
		return out
	}
	called := map[string]bool{}
	for _, n := range b.Needs() {
		called[n.Trainee] = true
		for _, t := range b.Trainees {
			if t.Name != n.Trainee {
				continue
			}
			r := row(t)
			r.Why = capital(l.Must(n.Why))
			if r.Lesson, err = s.lessonFor(ctx, l, n, last[t.Name]); err != nil {
				return nil, nil, err
			}
			needs = append(needs, r)
		}
	}
	for _, t := range b.Trainees {
		if !called[t.Name] {
			fine = append(fine, row(t))
		}
	}
	return needs, fine, nil
}

// lessonFor is what the teacher shows: the lesson that the last tray's own page gives,
// else that of the fault.
func (s *Server) lessonFor(ctx context.Context, l lang, n board.Need, last intake.Shot) (*lessonData, error) {
	if n.Fault == "" {
		return nil, nil
	}
	if last.Result != 0 {
		tray, err := s.trayOf(ctx, last)
		if err != nil {
			return nil, err
		}
		if taught := lessonOf(l, tray); taught != nil {
			return taught, nil
		}
	}
	return wordedLesson(l, coach.Lesson{Key: string(n.Fault)}), nil
}

// counts are what a class's trays hold, by result.
func counts(b board.Board) map[int64]piece.Count {
	out := map[int64]piece.Count{}
	for _, t := range b.Trainees {
		for _, p := range t.Photos {
			out[p.Result] = p.Count
		}
	}
	return out
}

// wall is the board for everybody to read from their place: whom the teacher visits
// next and what to practise, never who did how well.
func (s *Server) wall(w http.ResponseWriter, r *http.Request, _ account.Session) error {
	data, err := s.classNow(r.Context(), r)
	if err != nil {
		return err
	}
	data.Needs = data.Needs[:min(len(data.Needs), shownOnWall)]
	if r.URL.Query().Has("live") {
		return s.live(w, r, "wall", false, data)
	}
	return s.show(w, r, http.StatusOK, "wall", page{Title: data.Class.Name, Own: true, Here: "class", Back: "/class", Refresh: 10, Live: "/class/wall?live", Data: data})
}

// shownOnWall is how many names can be read from five metres.
const shownOnWall = 3
