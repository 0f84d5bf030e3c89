package serve

import (
	"errors"
	"net/http"
	"strings"
	"time"
	"unicode/utf8"

	"netagauge/internal/judge/ticket"
	"netagauge/internal/keep/account"
	"netagauge/internal/keep/board"
	"netagauge/internal/keep/intake"
	"netagauge/internal/keep/settings"
)

// openClass begins a class, or changes what the one of that name is held
// against, and sends photos there.
func (s *Server) openClass(w http.ResponseWriter, r *http.Request, _ account.Session) error {
	l := s.language(r)
	name := strings.TrimSpace(r.PostFormValue("class"))
	held, err := time.Parse(time.DateOnly, r.PostFormValue("day"))
	if err != nil || name == "" || utf8.RuneCountInString(name) > 60 || strings.ContainsAny(name, "\r\n") {
		return s.showClass(w, r, http.StatusUnprocessableEntity, l.Word("wrong-class"))
	}
	switch c, err := s.Folder.Session(r.Context(), intake.Class, name); {
	case errors.Is(err, intake.ErrNoSession):
	case err != nil:
		return err
	case !c.HeldOn.Equal(held):
		return s.showClass(w, r, http.StatusUnprocessableEntity, l.Word("wrong-day", day(c.HeldOn)))
	case r.PostFormValue("same") == "":
		return s.askSame(w, r, name)
	}
	house, err := s.house(r.Context())
	if err != nil {
		return err
	}
	told := ticket.Ticket{Standard: house}
	if err := enter(&told, formFields(r)); err != nil {
		return s.showClass(w, r, http.StatusUnprocessableEntity, s.complain(l, err, "bad-form"))
	}
	if err := s.Folder.SetSession(r.Context(), intake.Session{Kind: intake.Class, Name: name, HeldOn: held, Ticket: told}); err != nil {
		return err
	}
	return s.sendPhotosTo(w, r, name)
}

// askSame asks whether a class of a name that is there already is to go on.
func (s *Server) askSame(w http.ResponseWriter, r *http.Request, name string) error {
	fields := [][2]string{{"class", name}, {"day", r.PostFormValue("day")}, {"same", "yes"}}
	for k, v := range formFields(r) {
		fields = append(fields, [2]string{k, v})
	}
	return s.show(w, r, http.StatusConflict, "sure", page{Title: "same-class", Here: "class", Back: "/class",
		Data: sureData{Text: s.language(r).Word("same-class-text", name), Action: "/class", Do: "same-class-do", Not: "/class", Fields: fields}})
}

// reopenClass sends photos to a class that was open before.
func (s *Server) reopenClass(w http.ResponseWriter, r *http.Request, _ account.Session) error {
	name := r.PostFormValue("class")
	_, err := s.Folder.Session(r.Context(), intake.Class, name)
	switch {
	case errors.Is(err, intake.ErrNoSession):
		return errNotFound
	case err != nil:
		return err
	}
	return s.sendPhotosTo(w, r, name)
}

func (s *Server) sendPhotosTo(w http.ResponseWriter, r *http.Request, class string) error {
	if err := s.Settings.Keep(r.Context(), settings.OpenClass, class+"\n"); err != nil {
		return err
	}
	s.stale()
	return redirect(w, r, "/class")
}

// earlierClass shows a class that is not open, as it ended.
func (s *Server) earlierClass(w http.ResponseWriter, r *http.Request, _ account.Session) error {
	var data classData
	var err error
	data.Class, err = s.Folder.Session(r.Context(), intake.Class, r.URL.Query().Get("class"))
	if err == nil {
		data.Renewal, err = s.Folder.Renewal(r.Context(), data.Class.Name)
	}
	if err == nil && r.URL.Query().Has("live") { // until its photos are measured anew
		return s.live(w, r, "earlier", !data.Renewal.Going(), data)
	}
	if err == nil {
		data.Board, err = s.boardOf(r, data.Class)
	}
	if err == nil {
		data.All = true
		err = s.latest(r.Context(), &data, number(r, "before"))
	}
	switch {
	case errors.Is(err, intake.ErrNoSession):
		return errNotFound
	case err != nil:
		return err
	}
	data.summed(s.language(r))
	p := page{Title: data.Class.Name, Here: "class", Back: "/class", Data: data}
	if data.Renewal.Going() {
		p.Refresh, p.Live = 10, r.URL.RequestURI()+"&live"
	}
	return s.show(w, r, http.StatusOK, "earlier", p)
}

// boardOf is the board of any class.
func (s *Server) boardOf(r *http.Request, of intake.Session) (board.Board, error) {
	open, found, err := s.openedClass(r.Context())
	if err != nil {
		return board.Board{}, err
	}
	if found && open.Name == of.Name {
		return s.board(r.Context(), of.Name)
	}
	return s.drawn(r.Context(), of.Name, &s.boards.earlier, &s.boards.earlierLoader)
}
