package serve

import (
	"context"
	"errors"
	"math"
	"net/http"
	"slices"
	"strconv"
	"time"

	"netagauge/internal/core/phrase"
	"netagauge/internal/keep/account"
)

// handler is a page for somebody who is signed in, door one for everybody. What keeps it
// from answering is an error, which answer makes a page of.
type (
	handler func(w http.ResponseWriter, r *http.Request, who account.Session) error
	door    func(w http.ResponseWriter, r *http.Request) error
)

// instead is a page that says why there is not the one that was asked for. Its title is
// a key.
type instead struct {
	status int
	title  string
	says   func(lang) string
	wait   time.Duration // until it may be tried again; 0 where that is not known
}

func (a *instead) Error() string { return a.title }

// problem says what went wrong, by keys.
func problem(status int, title, text string) *instead {
	return &instead{status: status, title: title, says: func(l lang) string { return l.Word(text) }}
}

// said is a text that is in the reader's language already.
func said(status int, title, text string) error {
	return &instead{status: status, title: title, says: func(lang) string { return text }}
}

// later asks to try again after a while.
func later(status int, title, text string, wait time.Duration) error {
	wait = time.Duration(max(1, math.Ceil(wait.Seconds()))) * time.Second
	return &instead{status, title, func(l lang) string { return l.Word(text, int(wait.Seconds())) }, wait}
}

// inWords says an error that the phrasebook has words for; any other stays what it is.
func inWords(l lang, status int, title string, err error) error {
	if says, ok := phrase.In(l, err); ok {
		return said(status, title, capital(says))
	}
	return err
}

// errNotFound is the same for what is not there and what is not theirs.
var errNotFound error = problem(http.StatusNotFound, "not-found", "not-found-text")

// redirect goes on to another page after what was sent is done.
func redirect(w http.ResponseWriter, r *http.Request, to string) error {
	http.Redirect(w, r, to, http.StatusSeeOther)
	return nil
}

// answering makes a page one that answers by itself, whatever becomes of it.
func (s *Server) answering(h door) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) { s.answer(w, r, h(w, r)) }
}

// only lets sessions of these roles in. For others the page does not exist.
func (s *Server) only(roles ...account.Role) func(handler) http.Handler {
	return func(h handler) http.Handler {
		return s.answering(func(w http.ResponseWriter, r *http.Request) error {
			who, found, err := s.who(r)
			switch {
			case err != nil:
				return err
			case !found:
				return problem(http.StatusUnauthorized, "must-sign-in", "must-text")
			case !slices.Contains(roles, who.Role):
				return errNotFound
			case s.mustAsk(r, who):
				return redirect(w, r, "/mine")
			}
			return h(w, r.WithContext(context.WithValue(r.Context(), sessionKey{}, who)), who)
		})
	}
}

// answer says what kept a request from its page, if anything did. The rest of a photo is
// let come first.
func (s *Server) answer(w http.ResponseWriter, r *http.Request, err error) {
	if err == nil {
		return
	}
	var a *instead
	if !errors.As(err, &a) {
		if a = s.trouble(r, err); a == nil {
			return
		}
	}
	drain(r)
	if a.wait > 0 {
		w.Header().Set("Retry-After", strconv.Itoa(int(a.wait.Seconds())))
	}
	if err := s.show(w, r, a.status, "problem", page{Title: a.title, Data: a.says(s.language(r))}); err != nil {
		s.Log.ErrorContext(r.Context(), "say what went wrong", "err", err)
		http.Error(w, s.language(r).Word("trouble-text"), http.StatusInternalServerError)
	}
}
