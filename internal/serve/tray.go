package serve

import (
	"context"
	"net/http"
	"slices"
	"strconv"
	"time"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/judge/grade"
	"netagauge/internal/judge/weight"
	"netagauge/internal/keep/account"
	"netagauge/internal/keep/board"
	"netagauge/internal/keep/intake"
	"netagauge/internal/tell/figure"
)

// trayData fills the page where a trainee sends a photo.
type trayData struct {
	Open    bool // a class is
	Class   string
	Species []string
	Recent  []shotLine
}

// shotLine is one photo in a list.
type shotLine struct {
	ID     string
	Number int64
	Who    string
	State  intake.State
	At     time.Time
	Count  piece.Count
}

func species() []string {
	var out []string
	for _, s := range weight.BuiltIn() {
		out = append(out, s.Name)
	}
	return out
}

// fishName is a species' name and the language that it is in.
type fishName struct{ Name, Lang string }

// fish names a species in the page's language, or else in English; a name that the
// table does not know stands for itself.
func fish(l lang) func(string) fishName {
	return func(name string) fishName {
		s, err := weight.BuiltIn().Find(name)
		if err != nil || len(s.Names[l.Tag()]) == 0 {
			return fishName{name, phrase.English().Tag()}
		}
		return fishName{s.In(l.Tag()), l.Tag()}
	}
}

func (s *Server) tray(w http.ResponseWriter, r *http.Request, who account.Session) {
	open, found, err := s.openedClass(r.Context())
	if err != nil {
		s.trouble(w, r, err)
		return
	}
	mine, _, err := s.mine(r.Context(), who, 0, 3)
	if err != nil {
		s.trouble(w, r, err)
		return
	}
	s.show(w, r, http.StatusOK, "tray", page{Title: "tray-title", Here: "tray",
		Data: trayData{Open: found, Class: open.Name, Species: species(), Recent: mine}})
}

func (s *Server) sendTray(w http.ResponseWriter, r *http.Request, who account.Session) {
	f, ok := s.photoForm(w, r, who)
	if !ok {
		return
	}
	open, found, err := s.openedClass(r.Context())
	switch {
	case err != nil:
		s.trouble(w, r, err)
	case !found:
		drain(r)
		s.problem(w, r, http.StatusConflict, "no-class", "no-class-text")
	default:
		s.receive(w, r, who, open, who.Who, f)
	}
}

// mine lists a trainee's own photos, the latest first; last bounds them, 0 for
// all.
func (s *Server) mine(ctx context.Context, who account.Session, before int64, last int) (out []shotLine, more bool, err error) {
	for {
		shots, err := s.Folder.List(ctx, intake.Filter{Owner: owner(who), Kind: intake.Class, Before: before, Last: last + 1})
		if err != nil || len(shots) == 0 {
			return out, false, err
		}
		before = shots[0].Number
		slices.Reverse(shots)
		for _, x := range shots {
			yours, err := s.maySee(ctx, who, x)
			if err != nil {
				return nil, false, err
			}
			if !yours {
				continue
			}
			if len(out) == last {
				return out, true, nil
			}
			line, err := s.summed(ctx, x)
			if err != nil {
				return nil, false, err
			}
			line.Who = "" // they know
			out = append(out, line)
		}
	}
}

// summed sums up one photo.
func (s *Server) summed(ctx context.Context, x intake.Shot) (shotLine, error) {
	out := shotLine{ID: x.ID, Number: x.Number, Who: x.Who, State: x.State, At: x.Received}
	if x.State != intake.Measured {
		return out, nil
	}
	tray, err := s.trayOf(ctx, x)
	out.Count = grade.Verdicts(tray)
	return out, err
}

// pastData fills the page of a trainee's past trays.
type pastData struct {
	Earlier int64 // number of the tray before which there are more
	Limited bool
	Shots   []shotLine
	Grade   *float64
	Trend   []float64 // grades in percent, oldest first; empty with fewer than two
}

// pastShown is how many trays a page of them has.
const pastShown = 30

func (s *Server) past(w http.ResponseWriter, r *http.Request, who account.Session) {
	before, _ := strconv.ParseInt(r.URL.Query().Get("before"), 10, 64)
	mine, more, err := s.mine(r.Context(), who, before, pastShown)
	if err != nil {
		s.trouble(w, r, err)
		return
	}
	data := pastData{Limited: who.Limited, Shots: mine}
	if more {
		data.Earlier = mine[len(mine)-1].Number
	}
	if !who.Limited {
		_, grades, err := s.grades(r.Context(), who.Who)
		if err != nil {
			s.trouble(w, r, err)
			return
		}
		for _, g := range grades {
			data.Trend = append(data.Trend, g.Percent)
		}
		if n := len(grades); n > 0 {
			data.Grade = &grades[n-1].Percent
		}
		if len(grades) < 2 {
			data.Trend = nil
		}
	}
	s.show(w, r, http.StatusOK, "past", page{Title: "past-title", Here: "past", Data: data})
}

// grades are a trainee's in the classes up to the open one, oldest first.
func (s *Server) grades(ctx context.Context, name string) (board.Board, []figure.Grade, error) {
	b, found, err := s.openBoard(ctx)
	if err != nil || !found {
		return b, nil, err
	}
	i := slices.IndexFunc(b.Trainees, func(t board.Trainee) bool { return t.Name == name })
	if i < 0 {
		return b, nil, nil
	}
	var out []figure.Grade
	for _, p := range b.Trainees[i].Past {
		out = append(out, figure.Grade{Day: p.HeldOn, Percent: p.Percent})
	}
	if now, graded := b.Trainees[i].Grade.Percent(); graded {
		out = append(out, figure.Grade{Day: b.HeldOn, Percent: now})
	}
	return b, out, nil
}

// trend draws the grades. A session by class code sees no earlier ones.
func (s *Server) trend(w http.ResponseWriter, r *http.Request, who account.Session) {
	if who.Limited {
		s.notFound(w, r)
		return
	}
	_, grades, err := s.grades(r.Context(), who.Who)
	if err != nil {
		s.trouble(w, r, err)
		return
	}
	l := s.language(r)
	f, err := figure.Progress(figure.Letters{X: l.Word("chart-session"), Y: l.Word("chart-grade"), Day: time.DateOnly}, grades)
	if err != nil {
		s.trouble(w, r, err)
		return
	}
	s.drawing(w, r, f)
}

func (s *Server) drawing(w http.ResponseWriter, r *http.Request, f figure.Figure) {
	svg, err := f.SVG()
	if err != nil {
		s.trouble(w, r, err)
		return
	}
	w.Header().Set("Content-Type", "image/svg+xml")
	w.Write(svg)
}
