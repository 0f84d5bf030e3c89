package serve

import (
	"cmp"
	"errors"
	"net/http"
	"slices"
	"strings"
	"time"

	"netagauge/internal/keep/account"
)

// home is where a role begins.
func home(role account.Role) string {
	switch role {
	case account.Instructor:
		return "/class"
	case account.Chef:
		return "/line"
	case account.Owner:
		return "/sites"
	}
	return "/tray"
}

// frontData fills the start page.
type frontData struct {
	CodeWrong, PassWrong, Name string   // what was wrong with the last try, by key
	Openid                     bool     // people may sign in by a provider
	Leave                      string   // where who has signed out may do so at the provider
	Sites                      []linkTo // of the organisation; none on a site's own page
	Within                     bool     // the page is one of an organisation's
}

func (s *Server) showFront(w http.ResponseWriter, r *http.Request, status int, data frontData) error {
	if s.Openid != nil {
		data.Openid = true
		if r.URL.Query().Has("out") {
			data.Leave = s.Openid.Leave(r)
		}
	}
	data.Within = s.host != nil
	if s.owns() {
		var err error
		if data.Sites, err = s.host.doors(r.Context(), s.language(r)); err != nil {
			return err
		}
		return s.show(w, r, status, "sitesfront", page{Title: "front-title", Data: data})
	}
	return s.show(w, r, status, "front", page{Title: "front-title", Data: data})
}

func (s *Server) front(w http.ResponseWriter, r *http.Request) error {
	who, found, err := s.who(r)
	switch {
	case err != nil:
		return err
	case found:
		return redirect(w, r, home(who.Role))
	}
	return s.showFront(w, r, http.StatusOK, frontData{})
}

// setLanguage remembers the language and goes back to a page of ours.
func (s *Server) setLanguage(w http.ResponseWriter, r *http.Request) error {
	to, ok := s.speaks(r.URL.Query().Get("to"))
	if !ok {
		return errNotFound
	}
	s.cookie(w, r, languageCookie, to.Tag(), time.Now().AddDate(1, 0, 0))
	return redirect(w, r, ours(r.URL.Query().Get("back")))
}

// ours is a path of this site; anything else becomes the start page.
func ours(path string) string {
	if !strings.HasPrefix(path, "/") || strings.HasPrefix(path, "//") || strings.ContainsAny(path, "\\\r\n\t") {
		return "/"
	}
	return path
}

func (s *Server) cookie(w http.ResponseWriter, r *http.Request, name, value string, expires time.Time) {
	http.SetCookie(w, &http.Cookie{
		Name: name, Value: value, Path: "/", Expires: expires,
		HttpOnly: true, Secure: r.TLS != nil, SameSite: http.SameSiteLaxMode,
	})
}

// comeIn gives the browser its session, ends one it had, and goes to its start.
func (s *Server) comeIn(w http.ResponseWriter, r *http.Request, who account.Session, token string) error {
	if before, found, err := s.who(r); err == nil && found {
		if err := s.Accounts.SignOut(r.Context(), before); err != nil {
			s.Log.ErrorContext(r.Context(), "sign out", "err", err)
		}
	}
	s.cookie(w, r, sessionCookie(r), token, who.Expires)
	return redirect(w, r, home(who.Role))
}

// follow opens a trainee's own link, whose 256 random bits need no throttle. Where
// somebody else is signed in it asks first: any page can make a browser open a link.
func (s *Server) follow(w http.ResponseWriter, r *http.Request) error {
	name, err := s.linkOf(r)
	now, found, sessionErr := s.who(r)
	switch err = cmp.Or(err, sessionErr); {
	case errors.Is(err, account.ErrWrong):
		return problem(http.StatusNotFound, "not-found", "wrong-link")
	case err != nil:
		return err
	case found && r.Method == http.MethodGet && (now.Role != account.Trainee || now.Who != name):
		return s.show(w, r, http.StatusOK, "confirm", page{Title: "confirm-title", Data: confirmData{r.URL.Path, now.Who, name}})
	}
	who, token, err := s.Accounts.Follow(r.Context(), r.PathValue("token"))
	if err != nil {
		return err
	}
	return s.comeIn(w, r, who, token)
}

// linkOf tells whose link a request opens; one of somebody who is not in the roster
// opens nothing.
func (s *Server) linkOf(r *http.Request) (string, error) {
	name, err := s.Accounts.LinkOf(r.Context(), r.PathValue("token"))
	if err != nil {
		return "", err
	}
	roster, err := s.readRoster(r.Context())
	if err == nil && !slices.Contains(roster.Names(), name) {
		err = account.ErrWrong
	}
	return name, err
}

// confirmData asks whether a link is to be opened while somebody is signed in.
type confirmData struct{ Action, Now, Then string }

// joinData fills the page where a trainee picks a name.
type joinData struct {
	Code  string
	Names []string
	Taken string // a name that another phone has
}

// join takes the class code, asks for the name, and lets in.
func (s *Server) join(w http.ResponseWriter, r *http.Request) error {
	done, err := s.trySecret(r, "class code", s.joining)
	if err != nil {
		return err
	}
	code, name := r.PostFormValue("code"), r.PostFormValue("name")
	err = s.Accounts.CheckClassCode(r.Context(), code)
	done(errors.Is(err, account.ErrWrong))
	switch {
	case errors.Is(err, account.ErrWrong):
		return s.showFront(w, r, http.StatusForbidden, frontData{CodeWrong: "wrong-code"})
	case err != nil:
		return err
	}
	roster, err := s.readRoster(r.Context())
	switch {
	case err != nil:
		return err
	case !slices.Contains(roster.Names(), name):
		return s.show(w, r, http.StatusOK, "join", page{Title: "who-are-you", Data: joinData{code, roster.Names(), ""}})
	}
	now, _, err := s.who(r)
	if err != nil {
		return err
	}
	who, token, err := s.Accounts.Join(r.Context(), code, name, now)
	switch {
	case errors.Is(err, account.ErrTaken):
		return s.show(w, r, http.StatusConflict, "join", page{Title: "who-are-you", Data: joinData{code, roster.Names(), name}})
	case err != nil:
		return err
	}
	return s.comeIn(w, r, who, token)
}

func (s *Server) signIn(w http.ResponseWriter, r *http.Request) error {
	done, err := s.trySecret(r, "passcode", s.passing)
	if err != nil {
		return err
	}
	name := r.PostFormValue("name")
	who, token, err := s.Accounts.SignIn(r.Context(), name, r.PostFormValue("passcode"))
	if s.owns() {
		who.Role = account.Owner
	}
	done(errors.Is(err, account.ErrWrong))
	switch {
	case errors.Is(err, account.ErrWrong):
		return s.showFront(w, r, http.StatusForbidden, frontData{PassWrong: "wrong-passcode", Name: name})
	case err != nil:
		return err
	}
	return s.comeIn(w, r, who, token)
}

func (s *Server) signOut(w http.ResponseWriter, r *http.Request) error {
	if who, found, err := s.who(r); err == nil && found {
		if err := s.Accounts.SignOut(r.Context(), who); err != nil {
			return err
		}
	}
	s.cookie(w, r, sessionCookie(r), "", time.Unix(1, 0))
	if s.owns() { // and not at the site that was looked at last
		s.cookie(w, r, siteCookie, "", time.Unix(1, 0))
	}
	to := "/"
	if s.Openid != nil {
		to = "/?out"
	}
	return redirect(w, r, to)
}
