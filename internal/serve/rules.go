package serve

import (
	"context"
	"errors"
	"net/http"
	"strings"

	"netagauge/calibration"
	"netagauge/internal/judge/standard"
	"netagauge/internal/keep/account"
	"netagauge/internal/keep/book"
	"netagauge/internal/keep/intake"
	"netagauge/internal/work/class"
)

// editData fills a page that edits a setting as text.
type editData struct {
	Kind     string // roster or standard
	Text     string
	Was      string // hash of the text the edit began from
	Saved    bool
	Complain string
	Behind   bool // somebody else saved in the meantime
}

func (s *Server) roster(w http.ResponseWriter, r *http.Request, _ account.Session) {
	s.edit(w, r, "roster", intake.RosterFile, "label,name,minutes\n")
}

func (s *Server) standard(w http.ResponseWriter, r *http.Request, _ account.Session) {
	s.edit(w, r, "standard", intake.StandardFile, string(calibration.StandardNigiri))
}

func (s *Server) edit(w http.ResponseWriter, r *http.Request, kind, file, begin string) {
	text, err := s.text(file)
	if err != nil {
		s.trouble(w, r, err)
		return
	}
	was := book.Hash([]byte(text))
	if text == "" {
		text = begin
	}
	s.show(w, r, http.StatusOK, "edit", page{Title: kind + "-title", Here: kind, Data: editData{Kind: kind, Text: text, Was: was, Saved: r.URL.Query().Has("saved")}})
}

func (s *Server) saveRoster(w http.ResponseWriter, r *http.Request, _ account.Session) {
	s.saveEdit(w, r, "roster", intake.RosterFile, func(text string) error {
		_, err := class.ParseRoster(text)
		return err
	}, func(ctx context.Context) error { return errors.Join(s.applyRoster(ctx), s.applyPace(ctx)) })
}

// applyRoster ends the links and sessions of those who are in it no more.
func (s *Server) applyRoster(ctx context.Context) error {
	roster, err := s.readRoster()
	if err != nil || len(roster.Names()) == 0 {
		return err
	}
	return s.Accounts.KeepOnly(ctx, roster.Names())
}

// applyPace keeps the roster's minutes for the open class.
func (s *Server) applyPace(ctx context.Context) error {
	roster, err := s.readRoster()
	if err != nil {
		return err
	}
	open, found, err := s.openedClass(ctx)
	if err != nil || !found || len(roster.Minutes()) == 0 {
		return err
	}
	run, err := s.Folder.Run(ctx, open.Name)
	if err != nil {
		return err
	}
	for name, minutes := range roster.Minutes() {
		if err := s.Folder.Book().SetPace(ctx, run.Session, name, minutes); err != nil {
			return err
		}
	}
	return nil
}

func (s *Server) saveStandard(w http.ResponseWriter, r *http.Request, _ account.Session) {
	s.saveEdit(w, r, "standard", intake.StandardFile, func(text string) error {
		_, err := standard.Parse(intake.StandardFile, []byte(text))
		return err
	}, func(ctx context.Context) error { return s.applyStandard(ctx, r.PostFormValue("again") != "") })
}

// saveEdit checks and keeps a text; then runs what follows from it.
func (s *Server) saveEdit(w http.ResponseWriter, r *http.Request, kind, file string, check func(string) error, then func(context.Context) error) {
	data := editData{Kind: kind, Text: strings.ReplaceAll(r.PostFormValue("text"), "\r\n", "\n"), Was: r.PostFormValue("was")}
	answer := func(status int) {
		s.show(w, r, status, "edit", page{Title: kind + "-title", Here: kind, Data: data})
	}
	s.saving.Lock()
	defer s.saving.Unlock()
	now, err := s.text(file)
	if err != nil {
		s.trouble(w, r, err)
		return
	}
	if data.Was != book.Hash([]byte(now)) {
		data.Behind = true
		answer(http.StatusConflict)
		return
	}
	if err := check(data.Text); err != nil {
		data.Complain = s.complain(s.language(r), err, "bad-form")
		answer(http.StatusUnprocessableEntity)
		return
	}
	if err := s.keep(file, data.Text); err != nil {
		s.trouble(w, r, err)
		return
	}
	if err := then(r.Context()); err != nil {
		s.trouble(w, r, err)
		return
	}
	s.boards.stale()
	http.Redirect(w, r, "/"+kind+"?saved", http.StatusSeeOther)
}

// applyStandard holds the open class and the line against the standard from now
// on, and measures the class's photos anew when asked to.
func (s *Server) applyStandard(ctx context.Context, again bool) error {
	house, err := s.house()
	if err != nil {
		return err
	}
	line, err := s.Folder.Session(ctx, intake.Line, s.Line)
	if err != nil {
		return err
	}
	line.Ticket.Standard = house
	if err := s.Folder.SetSession(ctx, line); err != nil {
		return err
	}
	open, found, err := s.openedClass(ctx)
	if err != nil || !found {
		return err
	}
	open.Ticket.Standard = house
	if err := s.Folder.SetSession(ctx, open); err != nil || !again {
		return err
	}
	shots, err := s.Folder.List(ctx, intake.Filter{Kind: intake.Class, Session: open.Name})
	if err != nil {
		return err
	}
	var errs []error
	for _, x := range shots {
		told := x.Ticket
		told.Standard = house
		_, err := s.Folder.Again(ctx, x.ID, told)
		errs = append(errs, err)
	}
	return errors.Join(errs...)
}
