package serve

import (
	"context"
	"errors"
	"net/http"
	"slices"
	"strings"

	"netagauge/internal/keep/account"
	"netagauge/internal/keep/book"
	"netagauge/internal/keep/settings"
	"netagauge/internal/work/class"
)

// rosterData fills the page of the class list.
type rosterData struct {
	kept
	Names   string // one a line
	Count   int
	Sheet   string   // the whole roster as CSV
	BySheet bool     // the sheet was sent, and not the names
	Gone    []string // who would be in it no more; asked about before it is kept
}

// kept is what is common to pages that edit a setting.
type kept struct {
	Was      string // hash of the text that the edit began from
	Saved    bool
	Behind   bool // somebody else saved in the meantime
	Complain string
}

// emptySheet is what a roster begins from.
const emptySheet = "label,name,minutes\n"

func (s *Server) roster(w http.ResponseWriter, r *http.Request, _ account.Session) error {
	text, err := s.text(r.Context(), settings.Roster)
	var now class.Roster
	if err == nil {
		now, err = s.readRoster(r.Context())
	}
	if err != nil {
		return err
	}
	data := rosterData{kept: kept{Was: book.Hash([]byte(text)), Saved: r.URL.Query().Has("saved")}, Names: strings.Join(now.Names(), "\n"), Count: len(now.Names()), Sheet: text}
	if text == "" {
		data.Sheet = emptySheet
	}
	return s.showRoster(w, r, http.StatusOK, data)
}

func (s *Server) showRoster(w http.ResponseWriter, r *http.Request, status int, data rosterData) error {
	return s.show(w, r, status, "roster", page{Title: "roster-title", Here: "roster", Data: data})
}

// saveRoster keeps the list of names, or the sheet, once it is clear that those who are
// in it no more are meant to go.
func (s *Server) saveRoster(w http.ResponseWriter, r *http.Request, _ account.Session) error {
	s.saving.Lock()
	defer s.saving.Unlock()
	was, err := s.readRoster(r.Context())
	if err != nil {
		return err
	}
	data := rosterData{kept: kept{Was: r.PostFormValue("was")}, Names: r.PostFormValue("names"), Sheet: plainLines(r.PostFormValue("text")), BySheet: r.PostForm.Has("text")}
	var now class.Roster
	if data.BySheet {
		now, err = class.ParseRoster(data.Sheet)
	} else if now, err = was.With(data.Names); err == nil {
		data.Sheet, err = now.CSV()
	}
	if err != nil {
		data.Complain = s.complain(s.language(r), err, "bad-form")
		return s.showRoster(w, r, http.StatusUnprocessableEntity, data)
	}
	data.Count = len(now.Names())
	for _, name := range was.Names() {
		if !slices.Contains(now.Names(), name) {
			data.Gone = append(data.Gone, name)
		}
	}
	if len(data.Gone) > 0 && r.PostFormValue("gone") == "" {
		return s.showRoster(w, r, http.StatusConflict, data)
	}
	switch behind, err := s.keepText(r.Context(), settings.Roster, data.Was, data.Sheet); {
	case err != nil:
		return err
	case behind:
		data.Behind, data.Gone = true, nil
		return s.showRoster(w, r, http.StatusConflict, data)
	}
	if err := errors.Join(s.applyRoster(r.Context()), s.applyPace(r.Context())); err != nil {
		return err
	}
	s.stale()
	return redirect(w, r, "/roster?saved")
}

// plainLines are the lines of a form's text as a file has them.
func plainLines(text string) string { return strings.ReplaceAll(text, "\r\n", "\n") }

// keepText keeps a setting, unless somebody else saved since the one of that hash.
func (s *Server) keepText(ctx context.Context, name, was, text string) (behind bool, err error) {
	now, err := s.text(ctx, name)
	if err != nil || was != book.Hash([]byte(now)) {
		return err == nil, err
	}
	done, err := s.Settings.Replace(ctx, name, now, text)
	return !done, err
}

// applyRoster ends the links and sessions of those who are in it no more.
func (s *Server) applyRoster(ctx context.Context) error {
	roster, err := s.readRoster(ctx)
	if err != nil || len(roster.Names()) == 0 {
		return err
	}
	return s.Accounts.KeepOnly(ctx, roster.Names())
}

// applyPace keeps the roster's minutes for the open class.
func (s *Server) applyPace(ctx context.Context) error {
	roster, err := s.readRoster(ctx)
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
