package openid

import (
	"errors"
	"net/http"
	"net/http/cookiejar"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"netagauge/internal/core/fatal"
	"netagauge/internal/keep/account"
	"netagauge/internal/serve/openid/openidtest"
)

// program is a page that signs people in, and a browser.
type program struct {
	*httptest.Server
	*http.Client
	got account.Identity
	to  string
	err error
}

func newProgram(t *testing.T, at *Provider) *program {
	t.Helper()
	p := &program{}
	m := http.NewServeMux()
	m.HandleFunc("GET /openid", func(w http.ResponseWriter, r *http.Request) {
		if p.err = at.Begin(w, r, "a place"); p.err != nil {
			w.WriteHeader(http.StatusBadGateway)
		}
	})
	m.HandleFunc("GET "+BackPath, func(w http.ResponseWriter, r *http.Request) { p.got, p.to, p.err = at.Finish(w, r) })
	p.Server = httptest.NewServer(m)
	t.Cleanup(p.Close)
	jar, _ := cookiejar.New(nil)
	p.Client = &http.Client{Jar: jar}
	return p
}

func (p *program) visit(t *testing.T, address string) *http.Response {
	t.Helper()
	a, err := p.Client.Get(address)
	fatal.If(t, err)
	a.Body.Close()
	return a
}

func registered(op *openidtest.Provider) *Provider {
	return New(Options{Issuer: op.URL, Client: openidtest.Client, Secret: openidtest.Secret})
}

func TestSignIn(t *testing.T) {
	op := openidtest.New(t)
	at := registered(op)
	p := newProgram(t, at)
	if at.Leave(httptest.NewRequest("GET", "/", nil)) != "" {
		t.Error("a provider that was not asked has a page to leave by")
	}
	op.Says(map[string]any{"sub": "42", "email": " Mori@School.example", "email_verified": true, "name": "Mori"})
	p.visit(t, p.URL+"/openid")
	if want := (account.Identity{Issuer: op.URL, Subject: "42", Email: "mori@school.example", Verified: true}); p.err != nil || p.got != want || p.to != "a place" {
		t.Errorf("%+v, %v; want %+v", p.got, p.err, want)
	}
	r := httptest.NewRequest("GET", "http://kitchen.example/", nil)
	if got := at.Leave(r); !strings.HasPrefix(got, op.URL+"/leave?") || !strings.Contains(got, "post_logout_redirect_uri=http%3A%2F%2Fkitchen.example%2F") {
		t.Errorf("people leave by %q", got)
	}
}

// What OpenID Connect Core 1.0, 3.1.3.7, has a program refuse.
func TestFaultyTokens(t *testing.T) {
	op := openidtest.New(t)
	p := newProgram(t, registered(op))
	for name, c := range map[string]struct {
		claims map[string]any
		want   error
	}{
		"another nonce":         {map[string]any{"nonce": "of another sign-in"}, ErrNonce},
		"no nonce":              {map[string]any{"nonce": ""}, ErrNonce},
		"another audience":      {map[string]any{"aud": "another"}, ErrAudience},
		"another party":         {map[string]any{"aud": []string{"another", openidtest.Client}, "azp": "another"}, ErrAudience},
		"run out":               {map[string]any{"exp": time.Now().Add(-time.Minute).Unix()}, ErrExpired},
		"another issuer":        {map[string]any{"iss": "https://elsewhere.example"}, ErrToken},
		"nobody":                {map[string]any{"sub": ""}, ErrToken},
		"several audiences":     {map[string]any{"aud": []string{"another", openidtest.Client}}, nil},
		"e-mail said as a text": {map[string]any{"email": "a@b.example", "email_verified": "true"}, nil},
		"e-mail not verified":   {map[string]any{"email": "a@b.example", "email_verified": "false"}, nil},
	} {
		op.Says(c.claims)
		p.visit(t, p.URL+"/openid")
		if !errors.Is(p.err, c.want) && p.err != c.want || c.want == nil && p.err != nil {
			t.Errorf("%s: %v, want %v", name, p.err, c.want)
		}
		if p.err != nil && p.got != (account.Identity{}) {
			t.Errorf("%s: it tells who came all the same: %+v", name, p.got)
		}
		if want := name == "e-mail said as a text"; p.err == nil && p.got.Verified != want {
			t.Errorf("%s: verified is %v", name, p.got.Verified)
		}
	}
}

// An answer counts once, and only in the browser that asked.
func TestAnswersThatNobodyAskedFor(t *testing.T) {
	op := openidtest.New(t)
	p := newProgram(t, registered(op))
	last := p.visit(t, p.URL+"/openid").Request.URL.String()
	if p.err != nil {
		t.Fatal(p.err)
	}
	if p.visit(t, last); !errors.Is(p.err, ErrStale) {
		t.Errorf("the same answer once more: %v", p.err)
	}
	stopped := errors.New("stopped")
	stay := &http.Client{Jar: p.Jar, CheckRedirect: func(*http.Request, []*http.Request) error { return stopped }}
	if _, err := stay.Get(p.URL + "/openid"); !errors.Is(err, stopped) {
		t.Fatal(err)
	}
	if p.visit(t, last); !errors.Is(p.err, ErrStale) {
		t.Errorf("another sign-in's answer: %v", p.err)
	}
	jar, _ := cookiejar.New(nil)
	p.Client = &http.Client{Jar: jar}
	if p.visit(t, p.URL+BackPath+"?code=x&state="); !errors.Is(p.err, ErrStale) {
		t.Errorf("an answer without a question: %v", p.err)
	}
}

func TestProviderSaysNo(t *testing.T) {
	op := openidtest.New(t)
	p := newProgram(t, registered(op))
	op.Refuses("access_denied")
	if p.visit(t, p.URL+"/openid"); !errors.Is(p.err, ErrRefused) {
		t.Errorf("a provider that says no: %v", p.err)
	}
	op.Says(nil)
	wrong := newProgram(t, New(Options{Issuer: op.URL, Client: openidtest.Client, Secret: "a wrong one"}))
	if wrong.visit(t, wrong.URL+"/openid"); !errors.Is(wrong.err, ErrRefused) {
		t.Errorf("a wrong secret: %v", wrong.err)
	}
}

func TestProviderGone(t *testing.T) {
	op := openidtest.New(t)
	at := registered(op)
	p := newProgram(t, at)
	op.Close()
	if a := p.visit(t, p.URL+"/openid"); !errors.Is(p.err, ErrGone) || a.StatusCode != http.StatusBadGateway {
		t.Errorf("a provider that is gone: %v", p.err)
	}
}

// What names another issuer is no answer of this provider (RFC 9207), and what a browser
// remembers meanwhile no script can read.
func TestAnswerOfAnotherProvider(t *testing.T) {
	r := httptest.NewRequest(http.MethodGet, BackPath+"?state=s&code=c&iss=https://other.example", nil)
	r.AddCookie(&http.Cookie{Name: cookieName(r), Value: "s.n.v."})
	if _, _, err := New(Options{Issuer: "http://127.0.0.1:1"}).Finish(httptest.NewRecorder(), r); !errors.Is(err, ErrToken) {
		t.Errorf("it is %v", err)
	}
	w := httptest.NewRecorder()
	remember(w, r, "s.n.v.", time.Minute)
	if c := w.Result().Cookies()[0]; !c.HttpOnly || c.SameSite != http.SameSiteLaxMode {
		t.Errorf("%+v", c)
	}
}
