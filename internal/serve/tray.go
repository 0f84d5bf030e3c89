package serve

import (
	"context"
	"errors"
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
	Given   *taskData // nil where the class has no task
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

func (s *Server) tray(w http.ResponseWriter, r *http.Request, who account.Session) error {
	open, found, err := s.openedClass(r.Context())
	if err != nil {
		return err
	}
	mine, _, err := s.mine(r.Context(), who, 0, 3)
	if err != nil {
		return err
	}
	given, err := s.given(r.Context(), s.language(r), open.Name)
	if err != nil {
		return err
	}
	return s.show(w, r, http.StatusOK, "tray", page{Title: trayTitle(open.Name, who.Who), Here: "tray", Own: true,
		Data: trayData{Open: found, Class: open.Name, Species: species(), Recent: mine, Given: given}})
}

// trayTitle says where a photo goes, and whose it is.
func trayTitle(class, who string) string {
	if class == "" {
		return who
	}
	return class + " · " + who
}

// sendTray takes in a photo for the class that it was taken in: a phone may have kept
// it until another was opened.
func (s *Server) sendTray(w http.ResponseWriter, r *http.Request, who account.Session) error {
	f, err := s.photoForm(w, r, who)
	if err != nil {
		return err
	}
	to, found, err := s.openedClass(r.Context())
	if named := f.fields["class"]; err == nil && named != "" && named != to.Name {
		switch taken, unknown := s.Folder.Session(r.Context(), intake.Class, named); {
		case unknown == nil:
			to, found = taken, true
		case !errors.Is(unknown, intake.ErrNoSession):
			err = unknown
		}
	}
	switch {
	case err != nil:
		return err
	case !found:
		return problem(http.StatusConflict, "no-class", "no-class-text")
	}
	return s.receive(w, r, who, to, nameOf(who), f)
}

// mine lists a trainee's own photos, the latest first: no more than last, and those
// before the one of that number, where it is not 0. Who came by the class code has
// only what this phone sent.
func (s *Server) mine(ctx context.Context, who account.Session, before int64, last int) (out []shotLine, more bool, err error) {
	which := intake.Filter{Owner: owner(who), Kind: intake.Class, Before: before, Last: last + 1}
	if who.Limited {
		if which.IDs, err = s.Accounts.SentBy(ctx, who); err != nil || len(which.IDs) == 0 {
			return nil, false, err
		}
	}
	shots, err := s.Folder.List(ctx, which)
	if err != nil {
		return nil, false, err
	}
	slices.Reverse(shots)
	more = len(shots) > last
	for _, x := range shots[:min(last, len(shots))] {
		line, err := s.summed(ctx, x)
		if err != nil {
			return nil, false, err
		}
		line.Who = "" // they know
		out = append(out, line)
	}
	return out, more, nil
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
	Trend   []float64   // grades in percent, oldest first; empty with fewer than two
	Before  []elsewhere // at other sites of the organisation
}

// pastShown is how many trays a page of them has.
const pastShown = 30

// number is a number in a request's query, 0 where there is none.
func number(r *http.Request, name string) int64 {
	n, _ := strconv.ParseInt(r.URL.Query().Get(name), 10, 64)
	return max(0, n)
}

func (s *Server) past(w http.ResponseWriter, r *http.Request, who account.Session) error {
	before := number(r, "before")
	mine, more, err := s.mine(r.Context(), who, before, pastShown)
	if err != nil {
		return err
	}
	data := pastData{Limited: who.Limited, Shots: mine}
	if more {
		data.Earlier = mine[len(mine)-1].Number
	}
	if !who.Limited {
		grades, err := s.grades(r.Context(), who.Who)
		if err != nil {
			return err
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
		if data.Before, err = s.before(r.Context(), s.language(r), who.Who); err != nil {
			return err
		}
	}
	return s.show(w, r, http.StatusOK, "past", page{Title: "past-title", Here: "past", Data: data})
}

// grades are a trainee's in the classes up to the open one, oldest first.
func (s *Server) grades(ctx context.Context, name string) ([]figure.Grade, error) {
	b, found, err := s.openBoard(ctx)
	if err != nil || !found {
		return nil, err
	}
	i := slices.IndexFunc(b.Trainees, func(t board.Trainee) bool { return t.Name == name })
	if i < 0 {
		return nil, nil
	}
	var out []figure.Grade
	for _, p := range b.Trainees[i].Past {
		out = append(out, figure.Grade{Day: p.HeldOn, Percent: p.Percent})
	}
	if now, graded := b.Trainees[i].Grade.Percent(); graded {
		out = append(out, figure.Grade{Day: b.HeldOn, Percent: now})
	}
	return out, nil
}

// trend draws the grades. A session by class code sees no earlier ones.
func (s *Server) trend(w http.ResponseWriter, r *http.Request, who account.Session) error {
	if who.Limited {
		return errNotFound
	}
	grades, err := s.grades(r.Context(), who.Who)
	if err != nil {
		return err
	}
	l := s.language(r)
	f, err := figure.Progress(figure.Letters{X: l.Word("chart-session"), Y: l.Word("chart-grade"), Day: time.DateOnly}, figure.Course{Grades: grades})
	if err != nil {
		return err
	}
	return s.drawing(w, r, f)
}

func (s *Server) drawing(w http.ResponseWriter, r *http.Request, f figure.Figure) error {
	svg, err := f.SVG()
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", "image/svg+xml")
	w.Write(svg)
	return nil
}
