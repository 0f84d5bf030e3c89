package serve

import (
	"errors"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"netagauge/internal/core/phrase"
	"netagauge/internal/keep/account"
)

// passcodeNews is a passcode just made, which is shown once, or just removed.
type passcodeNews struct {
	Made, MadeFor         string
	Gone, GoneOf, GoneAct string // address by which it comes back, whose it was, and where that is asked
}

// passcodePage is where passcodes are made, and the address of what is done there: at a
// site, or of owners.
func (s *Server) passcodePage() (page, act string) {
	if s.owns() {
		return "/organisation", "/organisation/owners"
	}
	return "/people", "/people/passcodes"
}

// passcodeNews is what an address tells of.
func (s *Server) passcodeNews(r *http.Request, who account.Session) (now passcodeNews, err error) {
	made, _, err := codes.find(s, r, who, r.URL.Query().Get("made"))
	gone := r.URL.Query().Get("gone")
	was, found, wrong := removed.find(s, r, who, gone)
	if err = errors.Join(err, wrong); err != nil {
		return now, err
	}
	now = passcodeNews{Made: made.Made, MadeFor: made.MadeFor}
	if found {
		_, act := s.passcodePage()
		now.Gone, now.GoneOf, now.GoneAct = gone, was.Name, act+"/back"
	}
	return now, nil
}

// showCode goes on to the page, at to, that shows a passcode just made.
func (s *Server) showCode(w http.ResponseWriter, r *http.Request, who account.Session, to string, made passcodeMade) error {
	id, err := codes.keep(s, r, who, made)
	if err != nil {
		return err
	}
	return redirect(w, r, to+"?made="+id)
}

// newPasscode makes one: of an owner, or of a role at a site.
func (s *Server) newPasscode(w http.ResponseWriter, r *http.Request, who account.Session) error {
	name, role := strings.TrimSpace(r.PostFormValue("name")), account.Role(r.PostFormValue("role"))
	if s.owns() {
		role = account.Instructor
	}
	code, err := s.Accounts.AddPasscode(r.Context(), role, name)
	if err != nil {
		return s.refusedPasscode(w, r, err)
	}
	page, _ := s.passcodePage()
	return s.showCode(w, r, who, page, passcodeMade{code, name})
}

// removePasscode asks, removes a passcode, and shows how it comes back.
func (s *Server) removePasscode(w http.ResponseWriter, r *http.Request, who account.Session) error {
	id, err := strconv.ParseInt(r.PostFormValue("id"), 10, 64)
	if err != nil {
		return problem(http.StatusBadRequest, "trouble", "bad-form")
	}
	page, act := s.passcodePage()
	all, err := s.Accounts.Passcodes(r.Context())
	i := slices.IndexFunc(all, func(p account.Passcode) bool { return p.ID == id })
	switch {
	case err != nil:
		return err
	case i < 0: // somebody else was quicker
		return redirect(w, r, page)
	case r.PostFormValue("sure") == "":
		return s.sureOf(w, r, all[i].Name, act+"/remove", page, [2]string{"id", r.PostFormValue("id")})
	}
	gone, err := s.Accounts.RemovePasscode(r.Context(), id)
	if errors.Is(err, account.ErrLast) && s.owns() {
		err = phrase.Wrong("owner-last")
	}
	if err != nil {
		return s.refusedPasscode(w, r, err)
	}
	back, err := removed.keep(s, r, who, gone)
	if err != nil {
		return err
	}
	return redirect(w, r, page+"?gone="+back)
}

// sureOf asks before somebody is put out, with the fields of the form that did.
func (s *Server) sureOf(w http.ResponseWriter, r *http.Request, name, action, to string, fields ...[2]string) error {
	l := s.language(r)
	here := strings.TrimPrefix(to, "/")
	return s.show(w, r, http.StatusOK, "sure", page{Title: l.Word("remove", name), Here: here, Back: to, Data: sureData{Text: l.Word("remove-text", name),
		Action: action, Not: to, Do: "remove-do", Fields: append(fields, [2]string{"sure", "yes"})}})
}

// restorePasscode brings back one that was removed.
func (s *Server) restorePasscode(w http.ResponseWriter, r *http.Request, who account.Session) error {
	page, _ := s.passcodePage()
	was, found, err := removed.find(s, r, who, r.PostFormValue("id"))
	if err == nil && found {
		err = s.Accounts.RestorePasscode(r.Context(), was)
	}
	if err != nil {
		return s.refusedPasscode(w, r, err)
	}
	return redirect(w, r, page)
}
