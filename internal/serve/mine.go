package serve

import (
	"context"
	"net/http"
	"slices"
	"time"

	"netagauge/internal/core/phrase"
	"netagauge/internal/keep/account"
	"netagauge/internal/keep/intake"
	"netagauge/internal/keep/keeping"
	"netagauge/internal/keep/settings"
)

// mine are the pages on which a trainee says what may be kept.
func (s *Server) ownRecords(m *http.ServeMux) {
	trainee := s.only(account.Trainee)
	m.Handle("GET /mine", trainee(s.mineKept))
	m.Handle("POST /mine", trainee(s.consent))
	m.Handle("GET /mine/delete", trainee(s.askDelete))
	m.Handle("POST /mine/delete", trainee(s.wantDelete))
	m.Handle("POST /mine/stay", trainee(s.stay))
}

// asking are the pages before which a trainee is asked, once, what may be kept. What a
// phone sends is taken in all the same, without a name before it was said.
var asking = []string{"GET /tray", "GET /past", "GET /eye", "GET /hand", "GET /exam"}

// mustAsk reports whether a trainee is to be asked first: nothing was said yet, or to
// other words or dates than those of now.
func (s *Server) mustAsk(r *http.Request, who account.Session) bool {
	if who.Role != account.Trainee || !slices.Contains(asking, r.Pattern) || r.URL.Query().Has("live") {
		return false
	}
	rules, err := s.rules(r.Context())
	return err == nil && who.Consent.Terms != rules.Terms() // else the page itself says what is wrong
}

// rules are the dates of keeping as last set.
func (s *Server) rules(ctx context.Context) (keeping.Rules, error) {
	text, err := s.text(ctx, settings.Keeping)
	if err != nil {
		return keeping.Rules{}, err
	}
	rules, err := keeping.Parse(text)
	if err != nil {
		return rules, phrase.At(settings.Keeping, err)
	}
	return rules, nil
}

// mineData fills the page of what is kept of a trainee.
type mineData struct {
	Rules   keeping.Rules
	Consent account.Consent
	Ask     bool // nothing was said to these terms yet
	Limited bool // came by the class code, by which anybody may take a name
	Asked   time.Time
}

func (s *Server) mineKept(w http.ResponseWriter, r *http.Request, who account.Session) {
	rules, err := s.rules(r.Context())
	if err != nil {
		s.trouble(w, r, err)
		return
	}
	data := mineData{Rules: rules, Consent: who.Consent, Ask: who.Consent.Terms != rules.Terms(), Limited: who.Limited}
	open, there, err := s.Folder.RemovalOf(r.Context(), who.Who)
	if err != nil {
		s.trouble(w, r, err)
		return
	}
	if there && !who.Limited {
		data.Asked = open.AskedAt
	}
	title, back := "mine-title", "/past"
	if data.Ask {
		title, back = "consent-title", ""
	}
	s.show(w, r, http.StatusOK, "mine", page{Title: title, Here: "past", Back: back, Data: data})
}

// consent keeps what a trainee says. By the class code, where anybody may take a name,
// only what was not said yet can be said.
func (s *Server) consent(w http.ResponseWriter, r *http.Request, who account.Session) {
	rules, err := s.rules(r.Context())
	if err != nil {
		s.trouble(w, r, err)
		return
	}
	said := r.PostFormValue("name")
	if said != "yes" && said != "no" {
		s.problem(w, r, http.StatusBadRequest, "trouble", "bad-form")
		return
	}
	if first := who.Consent.Terms != rules.Terms(); first || !who.Limited {
		if err := s.Accounts.SetConsent(r.Context(), who.Who, rules.Terms(), said == "yes"); err != nil {
			s.trouble(w, r, err)
			return
		}
		if first {
			http.Redirect(w, r, home(who.Role), http.StatusSeeOther)
			return
		}
	}
	http.Redirect(w, r, "/mine", http.StatusSeeOther)
}

// ownRules are the dates of keeping, for who may delete what is theirs; else the answer
// is written.
func (s *Server) ownRules(w http.ResponseWriter, r *http.Request, who account.Session) (keeping.Rules, bool) {
	rules, err := s.rules(r.Context())
	switch {
	case err != nil:
		s.trouble(w, r, err)
	case who.Limited:
		s.notFound(w, r)
	default:
		return rules, true
	}
	return rules, false
}

// askDelete asks once more before a trainee's records are asked to be deleted.
func (s *Server) askDelete(w http.ResponseWriter, r *http.Request, who account.Session) {
	rules, ok := s.ownRules(w, r, who)
	if !ok {
		return
	}
	text := "mine-sure"
	if rules.AtOnce {
		text = "mine-sure-at-once"
	}
	s.show(w, r, http.StatusOK, "sure", page{Title: "mine-delete", Here: "past", Back: "/mine",
		Data: sureData{Text: s.language(r).Word(text), Action: "/mine/delete", Do: "mine-delete-do", Not: "/mine"}})
}

// wantDelete notes that a trainee wants to be deleted, or does it where the school says
// at once.
func (s *Server) wantDelete(w http.ResponseWriter, r *http.Request, who account.Session) {
	rules, ok := s.ownRules(w, r, who)
	if !ok {
		return
	}
	if !rules.AtOnce {
		if err := s.Folder.AskRemoval(r.Context(), who.Who, intake.Asked, false); err != nil {
			s.trouble(w, r, err)
			return
		}
		http.Redirect(w, r, "/mine", http.StatusSeeOther)
		return
	}
	if err := s.beginForget(r.Context(), who.Who, intake.Asked); err != nil {
		if says, ok := phrase.In(s.language(r), err); ok {
			s.say(w, r, http.StatusConflict, "mine-delete", capital(says))
			return
		}
		s.trouble(w, r, err)
		return
	}
	s.cookie(w, r, sessionCookie(r), "", time.Unix(1, 0))
	http.Redirect(w, r, "/", http.StatusSeeOther)
}

// stay takes back what was asked, unless it has begun.
func (s *Server) stay(w http.ResponseWriter, r *http.Request, who account.Session) {
	if who.Limited {
		s.notFound(w, r)
		return
	}
	if err := s.Folder.TakeBackRemoval(r.Context(), who.Who); err != nil {
		s.trouble(w, r, err)
		return
	}
	http.Redirect(w, r, "/mine", http.StatusSeeOther)
}
