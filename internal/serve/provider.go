package serve

import (
	"context"
	"errors"
	"net/http"
	"slices"
	"strconv"

	"netagauge/internal/core/phrase"
	"netagauge/internal/keep/account"
	"netagauge/internal/serve/openid"
)

// leaveForProvider sends somebody to sign in by an OpenID provider.
func (s *Server) leaveForProvider(w http.ResponseWriter, r *http.Request) error {
	if s.Openid == nil {
		return errNotFound
	}
	if err := s.Openid.Begin(w, r, r.URL.Query().Get("to")); err != nil {
		return s.noProvider(w, r, err)
	}
	return nil
}

// backFromProvider lets in who was invited.
func (s *Server) backFromProvider(w http.ResponseWriter, r *http.Request) error {
	if s.Openid == nil {
		return errNotFound
	}
	who, to, err := s.Openid.Finish(w, r)
	var places []account.Place
	if err == nil {
		places, err = s.Accounts.Recognise(r.Context(), who)
	}
	if err != nil {
		return s.noProvider(w, r, err)
	}
	if i := slices.IndexFunc(places, func(p account.Place) bool { return placeKey(p) == to }); i >= 0 || len(places) == 1 {
		return s.admit(w, r, places[max(i, 0)])
	}
	return s.show(w, r, http.StatusOK, "places", page{Title: "places-title", Data: s.placesTo(s.language(r), places)})
}

// placeKey names a place in an address.
func placeKey(p account.Place) string { return p.Site + "/" + string(p.Role) }

// placesTo are links to come in by, for who may come in at several places. The provider
// is asked once more, and need not ask the person.
func (s *Server) placesTo(l lang, places []account.Place) (out []linkTo) {
	for _, p := range places {
		text := l.Word("place-as", l.Word("role-"+string(p.Role)))
		if s.host != nil {
			text = s.host.placeAs(l, p)
		}
		out = append(out, linkTo{text, placeKey(p)})
	}
	return out
}

// admit lets somebody in; a trainee who is not in the roster any more was uninvited.
func (s *Server) admit(w http.ResponseWriter, r *http.Request, p account.Place) error {
	if s.owns() {
		return s.host.admitTo(w, r, p)
	}
	if p.Role == account.Trainee {
		roster, err := s.readRoster(r.Context())
		if err != nil {
			return err
		}
		if !slices.Contains(roster.Names(), p.Who) {
			return s.noProvider(w, r, account.ErrUninvited)
		}
	}
	who, token, err := s.Accounts.Admit(r.Context(), p)
	if err != nil {
		return err
	}
	return s.comeIn(w, r, who, token)
}

// noProvider says why a sign-in came to nothing.
func (s *Server) noProvider(w http.ResponseWriter, r *http.Request, err error) error {
	says, ours := phrase.In(s.language(r), err)
	if !ours {
		return err
	}
	status := http.StatusForbidden
	if errors.Is(err, openid.ErrGone) {
		status = http.StatusBadGateway
		s.Log.ErrorContext(r.Context(), "sign in by the OpenID provider", "issuer", s.Openid.Issuer, "err", err)
	}
	return said(status, "openid-title", says)
}

// invitations are the accounts that know who may sign in by a provider.
func (s *Server) invitations() *account.Accounts {
	if s.host != nil {
		return s.host.Accounts
	}
	return s.Accounts
}

// invite lets somebody sign in by the provider.
func (s *Server) invite(w http.ResponseWriter, r *http.Request, _ account.Session) error {
	if s.Openid == nil {
		return errNotFound
	}
	p := account.Place{Site: s.Site, Role: account.Role(r.PostFormValue("role")), Who: r.PostFormValue("name")}
	err := s.maySignIn(r.Context(), p)
	if err == nil {
		err = s.invitations().Invite(r.Context(), r.PostFormValue("known"), s.Openid.Issuer, p)
	}
	if err != nil {
		return s.refusedPasscode(w, r, err)
	}
	return redirect(w, r, "/people")
}

// maySignIn refuses a trainee who is not in the roster.
func (s *Server) maySignIn(ctx context.Context, p account.Place) error {
	if p.Role != account.Trainee {
		return nil
	}
	roster, err := s.readRoster(ctx)
	if err == nil && !slices.Contains(roster.Names(), p.Who) {
		err = phrase.Wrong("invite-roster", p.Who)
	}
	return err
}

// uninvite takes an invitation back and signs its person out.
func (s *Server) uninvite(w http.ResponseWriter, r *http.Request, _ account.Session) error {
	id, err := strconv.ParseInt(r.PostFormValue("id"), 10, 64)
	if err != nil {
		return problem(http.StatusBadRequest, "trouble", "bad-form")
	}
	if r.PostFormValue("sure") == "" {
		return s.sureOf(w, r, r.PostFormValue("who"), "/people/accounts/remove", "/people", [2]string{"id", r.PostFormValue("id")}, [2]string{"role", r.PostFormValue("role")})
	}
	p, found, err := s.invitations().Uninvite(r.Context(), id, s.Site, account.Role(r.PostFormValue("role")))
	if err == nil && !found {
		return errNotFound
	}
	if err == nil {
		err = s.Accounts.End(r.Context(), p.Role, p.Who)
	}
	if err != nil {
		return err
	}
	return redirect(w, r, "/people")
}
