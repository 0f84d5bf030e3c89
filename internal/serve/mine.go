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

// ownRecords are the pages on which a trainee says what may be kept.
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

func (s *Server) mineKept(w http.ResponseWriter, r *http.Request, who account.Session) error {
	rules, err := s.rules(r.Context())
	if err != nil {
		return err
	}
	data := mineData{Rules: rules, Consent: who.Consent, Ask: who.Consent.Terms != rules.Terms(), Limited: who.Limited}
	open, there, err := s.Folder.RemovalOf(r.Context(), who.Who)
	if err != nil {
		return err
	}
	if there && !who.Limited {
		data.Asked = open.AskedAt
	}
	title, back := "mine-title", "/past"
	if data.Ask {
		title, back = "consent-title", ""
	}
	return s.show(w, r, http.StatusOK, "mine", page{Title: title, Here: "past", Back: back, Data: data})
}

// consent keeps what a trainee says. By the class code, where anybody may take a name,
// only what was not said yet can be said.
func (s *Server) consent(w http.ResponseWriter, r *http.Request, who account.Session) error {
	rules, err := s.rules(r.Context())
	if err != nil {
		return err
	}
	said := r.PostFormValue("name")
	if said != "yes" && said != "no" {
		return problem(http.StatusBadRequest, "trouble", "bad-form")
	}
	if first := who.Consent.Terms != rules.Terms(); first || !who.Limited {
		if err := s.Accounts.SetConsent(r.Context(), who.Who, rules.Terms(), said == "yes"); err != nil {
			return err
		}
		if first {
			return redirect(w, r, home(who.Role))
		}
	}
	return redirect(w, r, "/mine")
}

// ownRules are the dates of keeping, for who may delete what is theirs.
func (s *Server) ownRules(r *http.Request, who account.Session) (keeping.Rules, error) {
	rules, err := s.rules(r.Context())
	if err == nil && who.Limited {
		err = errNotFound
	}
	return rules, err
}

// askDelete asks once more before a trainee's records are asked to be deleted.
func (s *Server) askDelete(w http.ResponseWriter, r *http.Request, who account.Session) error {
	rules, err := s.ownRules(r, who)
	if err != nil {
		return err
	}
	text := "mine-sure"
	if rules.AtOnce {
		text = "mine-sure-at-once"
	}
	return s.show(w, r, http.StatusOK, "sure", page{Title: "mine-delete", Here: "past", Back: "/mine",
		Data: sureData{Text: s.language(r).Word(text), Action: "/mine/delete", Do: "mine-delete-do", Not: "/mine"}})
}

// wantDelete notes that a trainee wants to be deleted, or does it where the school says
// at once.
func (s *Server) wantDelete(w http.ResponseWriter, r *http.Request, who account.Session) error {
	rules, err := s.ownRules(r, who)
	if err != nil {
		return err
	}
	if !rules.AtOnce {
		if err := s.Folder.AskRemoval(r.Context(), who.Who, intake.Asked, false); err != nil {
			return err
		}
		return redirect(w, r, "/mine")
	}
	if err := s.beginForget(r.Context(), who.Who, intake.Asked); err != nil {
		return inWords(s.language(r), http.StatusConflict, "mine-delete", err)
	}
	s.cookie(w, r, sessionCookie(r), "", time.Unix(1, 0))
	return redirect(w, r, "/")
}

// stay takes back what was asked, unless it has begun.
func (s *Server) stay(w http.ResponseWriter, r *http.Request, who account.Session) error {
	if who.Limited {
		return errNotFound
	}
	if err := s.Folder.TakeBackRemoval(r.Context(), who.Who); err != nil {
		return err
	}
	return redirect(w, r, "/mine")
}
