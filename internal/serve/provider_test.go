package serve

import (
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"netagauge/internal/core/fatal"
	"netagauge/internal/keep/account"
	"netagauge/internal/serve/openid"
	"netagauge/internal/serve/openid/openidtest"
)

// withProvider is a site whose people may sign in by a provider.
func withProvider(t *testing.T) (*site, *openidtest.Provider) {
	op := openidtest.New(t)
	s := newSite(t)
	s.server.Openid = openid.New(openid.Options{Issuer: op.URL, Client: openidtest.Client, Secret: openidtest.Secret})
	return s, op
}

// byProvider goes to the provider and comes back.
func (v *visitor) byProvider(from string) answer {
	v.Helper()
	for range 3 {
		got := v.get(from)
		to := got.header.Get("Location")
		if got.status/100 != 3 || !strings.Contains(to, "//") {
			return got
		}
		back, err := v.client.Get(to) // at the provider, whose answer leads back here
		fatal.If(v, err)
		back.Body.Close()
		from = strings.TrimPrefix(back.Header.Get("Location"), v.url)
	}
	v.Fatal("it never comes back")
	return answer{}
}

func TestSignInByProvider(t *testing.T) {
	s, op := withProvider(t)
	teacher := s.role(account.Instructor)
	s.visitor().get("/").must(s, http.StatusOK, `href="/openid"`)
	teacher.made("/people/accounts", url.Values{"known": {"Mori@school.example"}, "name": {"Mori"}, "role": {"instructor"}}).must(s, http.StatusOK, "mori@school.example")
	teacher.made("/people/accounts", url.Values{"known": {"7"}, "name": {"Aoi Test"}, "role": {"trainee"}}).must(s, http.StatusOK, "Aoi Test")
	teacher.post("/people/accounts", url.Values{"known": {"8"}, "name": {"Nobody"}, "role": {"trainee"}}).must(s, http.StatusUnprocessableEntity, "is not on the roster")
	teacher.post("/people/accounts", url.Values{"known": {"8"}, "name": {"N"}, "role": {"owner"}}).must(s, http.StatusUnprocessableEntity)
	for _, c := range []struct {
		claims map[string]any
		status int
		want   string // where it leads, or what the page says
	}{
		{map[string]any{"sub": "1", "email": "mori@school.example", "email_verified": true}, http.StatusSeeOther, "/class"},
		{map[string]any{"sub": "1"}, http.StatusSeeOther, "/class"},
		{map[string]any{"sub": "7"}, http.StatusSeeOther, "/tray"},
		{map[string]any{"sub": "2", "email": "mori@school.example", "email_verified": true}, http.StatusForbidden, "Nobody has invited"},
		{map[string]any{"sub": "3", "email": "x@school.example", "email_verified": false}, http.StatusForbidden, "not confirmed your e-mail"},
		{map[string]any{"sub": "1", "nonce": "x"}, http.StatusForbidden, "belongs to another sign-in"},
		{map[string]any{"sub": "1", "aud": "x"}, http.StatusForbidden, "answered another program"},
		{map[string]any{"sub": "1", "exp": time.Now().Add(-time.Hour).Unix()}, http.StatusForbidden, "has run out"},
		{map[string]any{"sub": "1", "iss": "x"}, http.StatusForbidden, "cannot be trusted"},
	} {
		op.Says(c.claims)
		v := s.visitor()
		got := v.byProvider("/openid")
		if got.status != c.status || got.header.Get("Location") != c.want && !strings.Contains(got.body, c.want) {
			t.Errorf("%v: %d %s, want %d %s\n%s", c.claims, got.status, got.header.Get("Location"), c.status, c.want, got.body)
		}
		if in := v.get("/class").status == http.StatusOK || v.get("/mine").status == http.StatusOK; in != (c.status == http.StatusSeeOther) {
			t.Errorf("%v: signed in is %v", c.claims, in)
		}
	}
	s.visitor().get(openid.BackPath+"?code=a&state=b").must(s, http.StatusForbidden, "already used or took too long")
	op.Refuses("access_denied")
	s.visitor().byProvider("/openid").must(s, http.StatusForbidden, "did not let you in")
}

// Somebody with two places picks one; who signs out may leave the provider, too; who is
// uninvited is out at once.
func TestPlacesByProvider(t *testing.T) {
	s, op := withProvider(t)
	teacher := s.role(account.Instructor)
	for _, role := range []string{"instructor", "chef"} {
		teacher.post("/people/accounts", url.Values{"known": {"m@school.example"}, "name": {"Mori"}, "role": {role}}).must(s, http.StatusSeeOther)
	}
	op.Says(map[string]any{"sub": "1", "email": "m@school.example", "email_verified": true})
	v := s.visitor()
	v.byProvider("/openid").must(s, http.StatusOK, "Come in as chef", "Come in as instructor", `href="/openid?to=%2fchef"`)
	if got := v.byProvider("/openid?to=%2fchef"); got.header.Get("Location") != "/line" {
		t.Errorf("as a chef: %d %s", got.status, got.header.Get("Location"))
	}
	v.get("/line").must(s, http.StatusOK)
	teacher.post("/people/accounts/remove", url.Values{"id": {"1"}, "role": {"trainee"}, "sure": {"yes"}}).must(s, http.StatusNotFound)
	teacher.post("/people/accounts/remove", url.Values{"id": {"1"}, "role": {"chef"}, "who": {"Mori"}}).must(s, http.StatusOK, "Mori is signed out everywhere")
	// At the teacher's own site, whatever the form says.
	teacher.post("/people/accounts/remove", url.Values{"id": {"1"}, "role": {"chef"}, "sure": {"yes"}, "site": {"elsewhere"}}).must(s, http.StatusSeeOther)
	v.get("/line").must(s, http.StatusUnauthorized)
	v.byProvider("/openid")
	v.get("/class").must(s, http.StatusOK)
	v.made("/signout", nil).must(s, http.StatusOK, "/leave?client_id=netagauge", "Signed out here")
	v.get("/class").must(s, http.StatusUnauthorized)
}

func TestProviderGone(t *testing.T) {
	s, op := withProvider(t)
	op.Close()
	v := s.visitor()
	v.get("/openid").must(s, http.StatusBadGateway, "out of reach")
	v.header = http.Header{"Accept-Language": {"ja"}}
	v.get("/openid").must(s, http.StatusBadGateway, "接続できません")
	if !strings.Contains(s.said.String(), op.URL) {
		t.Error("the log does not name the provider")
	}
	s.said.Reset()
	v.get("/").must(s, http.StatusOK)
}

// Without a provider nothing of it is there.
func TestNoProvider(t *testing.T) {
	s := newSite(t)
	teacher := s.role(account.Instructor)
	for _, path := range []string{"/openid", openid.BackPath} {
		s.visitor().get(path).must(s, http.StatusNotFound)
	}
	s.visitor().get("/").lacks(s, "/openid")
	teacher.get("/people").lacks(s, "/people/accounts")
	teacher.post("/people/accounts", url.Values{"known": {"8"}, "name": {"N"}, "role": {"chef"}}).must(s, http.StatusNotFound)
}
