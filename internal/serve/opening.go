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
func (s *Server) openClass(w http.ResponseWriter, r *http.Request, _ account.Session) {
	l := s.language(r)
	name := strings.TrimSpace(r.PostFormValue("class"))
	held, err := time.Parse(time.DateOnly, r.PostFormValue("day"))
	if err != nil || name == "" || utf8.RuneCountInString(name) > 60 || strings.ContainsAny(name, "\r\n") {
		s.showClass(w, r, http.StatusUnprocessableEntity, l.Word("wrong-class"))
		return
	}
	switch c, err := s.Folder.Session(r.Context(), intake.Class, name); {
	case errors.Is(err, intake.ErrNoSession):
	case err != nil:
		s.trouble(w, r, err)
		return
	case !c.HeldOn.Equal(held):
		s.showClass(w, r, http.StatusUnprocessableEntity, l.Word("wrong-day", day(c.HeldOn)))
		return
	case r.PostFormValue("same") == "":
		s.askSame(w, r, name)
		return
	}
	house, err := s.house(r.Context())
	if err != nil {
		s.trouble(w, r, err)
		return
	}
	told := ticket.Ticket{Standard: house}
	if err := enter(&told, formFields(r)); err != nil {
		s.showClass(w, r, http.StatusUnprocessableEntity, s.complain(l, err, "bad-form"))
		return
	}
	if err := s.Folder.SetSession(r.Context(), intake.Session{Kind: intake.Class, Name: name, HeldOn: held, Ticket: told}); err != nil {
		s.trouble(w, r, err)
		return
	}
	s.sendPhotosTo(w, r, name)
}

// askSame asks whether a class of a name that is there already is to go on.
func (s *Server) askSame(w http.ResponseWriter, r *http.Request, name string) {
	fields := [][2]string{{"class", name}, {"day", r.PostFormValue("day")}, {"same", "yes"}}
	for k, v := range formFields(r) {
		fields = append(fields, [2]string{k, v})
	}
	s.show(w, r, http.StatusConflict, "sure", page{Title: "same-class", Here: "class", Back: "/class",
		Data: sureData{Text: s.language(r).Word("same-class-text", name), Action: "/class", Do: "same-class-do", Not: "/class", Fields: fields}})
}

// reopenClass sends photos to a class that was open before.
func (s *Server) reopenClass(w http.ResponseWriter, r *http.Request, _ account.Session) {
	name := r.PostFormValue("class")
	_, err := s.Folder.Session(r.Context(), intake.Class, name)
	switch {
	case errors.Is(err, intake.ErrNoSession):
		s.notFound(w, r)
	case err != nil:
		s.trouble(w, r, err)
	default:
		s.sendPhotosTo(w, r, name)
	}
}

func (s *Server) sendPhotosTo(w http.ResponseWriter, r *http.Request, class string) {
	if err := s.Settings.Keep(r.Context(), settings.OpenClass, class+"\n"); err != nil {
		s.trouble(w, r, err)
		return
	}
	s.stale()
	http.Redirect(w, r, "/class", http.StatusSeeOther)
}

// earlierClass shows a class that is not open, as it ended.
func (s *Server) earlierClass(w http.ResponseWriter, r *http.Request, _ account.Session) {
	var data classData
	var err error
	data.Class, err = s.Folder.Session(r.Context(), intake.Class, r.URL.Query().Get("class"))
	if err == nil {
		data.Renewal, err = s.Folder.Renewal(r.Context(), data.Class.Name)
	}
	if err == nil && r.URL.Query().Has("live") { // until its photos are measured anew
		s.live(w, r, "earlier", !data.Renewal.Going(), data)
		return
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
		s.notFound(w, r)
	case err != nil:
		s.trouble(w, r, err)
	default:
		data.summed(s.language(r))
		p := page{Title: data.Class.Name, Here: "class", Back: "/class", Data: data}
		if data.Renewal.Going() {
			p.Refresh, p.Live = 10, r.URL.RequestURI()+"&live"
		}
		s.show(w, r, http.StatusOK, "earlier", p)
	}
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
