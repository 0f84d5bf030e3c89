// Package openidtest is a small OpenID provider for tests, on a loopback port: what
// OpenID Connect Core asks of the authorization code flow, with faults to order. Its
// tokens are signed by go-jose. zitadel/oidc's example provider was weighed: it brings
// chi, OpenTelemetry, logrus and a login page of its own, and gives no wrong token.
package openidtest

import (
	"crypto/rand"
	"crypto/rsa"
	"crypto/sha256"
	"encoding/base64"
	"encoding/json"
	"maps"
	"net/http"
	"net/http/httptest"
	"net/url"
	"sync"
	"testing"
	"time"

	"github.com/go-jose/go-jose/v4"
	"github.com/go-jose/go-jose/v4/jwt"

	"netagauge/internal/core/fatal"
)

// Client and Secret are what a program is registered under.
const Client, Secret = "netagauge", "a secret of the test"

// Provider signs in whoever Claims says, without asking.
type Provider struct {
	*httptest.Server
	mu     sync.Mutex
	claims map[string]any    // of the next ID token, over the usual ones
	refuse string            // error in place of a code
	codes  map[string]flight // not used yet
	signer jose.Signer
	public jose.JSONWebKey
}

type flight struct{ nonce, challenge, back string }

// New starts one.
func New(t testing.TB) *Provider {
	t.Helper()
	key, err := rsa.GenerateKey(rand.Reader, 2048)
	fatal.If(t, err)
	p := &Provider{codes: map[string]flight{}, public: jose.JSONWebKey{Key: key.Public(), KeyID: "1", Algorithm: "RS256", Use: "sig"}}
	p.signer, err = jose.NewSigner(jose.SigningKey{Algorithm: jose.RS256, Key: jose.JSONWebKey{Key: key, KeyID: "1"}}, nil)
	fatal.If(t, err)
	m := http.NewServeMux()
	m.HandleFunc("GET /.well-known/openid-configuration", p.discovery)
	m.HandleFunc("GET /keys", func(w http.ResponseWriter, _ *http.Request) {
		answer(w, jose.JSONWebKeySet{Keys: []jose.JSONWebKey{p.public}})
	})
	m.HandleFunc("GET /authorize", p.authorize)
	m.HandleFunc("POST /token", p.token)
	m.HandleFunc("GET /leave", func(w http.ResponseWriter, r *http.Request) {
		http.Redirect(w, r, r.URL.Query().Get("post_logout_redirect_uri"), http.StatusSeeOther)
	})
	p.Server = httptest.NewServer(m)
	t.Cleanup(p.Close)
	return p
}

// Says sets who comes next, and what is wrong with the token.
func (p *Provider) Says(claims map[string]any) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.claims, p.refuse = claims, ""
}

// Refuses has the next ones sent back with an error.
func (p *Provider) Refuses(why string) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.refuse = why
}

func answer(w http.ResponseWriter, v any) {
	w.Header().Set("Content-Type", "application/json")
	json.NewEncoder(w).Encode(v)
}

func (p *Provider) discovery(w http.ResponseWriter, _ *http.Request) {
	answer(w, map[string]any{"issuer": p.URL, "authorization_endpoint": p.URL + "/authorize", "token_endpoint": p.URL + "/token", "jwks_uri": p.URL + "/keys",
		"end_session_endpoint": p.URL + "/leave", "response_types_supported": []string{"code"}, "subject_types_supported": []string{"public"}, "id_token_signing_alg_values_supported": []string{"RS256"}})
}

func (p *Provider) authorize(w http.ResponseWriter, r *http.Request) {
	p.mu.Lock()
	defer p.mu.Unlock()
	q := r.URL.Query()
	if q.Get("client_id") != Client || q.Get("response_type") != "code" || q.Get("code_challenge_method") != "S256" || q.Get("state") == "" {
		http.Error(w, "not asked as it should be", http.StatusBadRequest)
		return
	}
	back := url.Values{"state": {q.Get("state")}}
	if p.refuse != "" {
		back.Set("error", p.refuse)
	} else {
		code := rand.Text()
		p.codes[code] = flight{q.Get("nonce"), q.Get("code_challenge"), q.Get("redirect_uri")}
		back.Set("code", code)
	}
	http.Redirect(w, r, q.Get("redirect_uri")+"?"+back.Encode(), http.StatusFound)
}

func (p *Provider) token(w http.ResponseWriter, r *http.Request) {
	p.mu.Lock()
	defer p.mu.Unlock()
	id, secret, _ := r.BasicAuth()
	if id == "" {
		id, secret = r.PostFormValue("client_id"), r.PostFormValue("client_secret")
	}
	f, found := p.codes[r.PostFormValue("code")]
	delete(p.codes, r.PostFormValue("code")) // once
	sum := sha256.Sum256([]byte(r.PostFormValue("code_verifier")))
	secret, _ = url.QueryUnescape(secret) // RFC 6749, 2.3.1
	if id != Client || secret != Secret || !found || f.back != r.PostFormValue("redirect_uri") || base64.RawURLEncoding.EncodeToString(sum[:]) != f.challenge {
		w.WriteHeader(http.StatusBadRequest)
		answer(w, map[string]string{"error": "invalid_grant"})
		return
	}
	now := time.Now()
	claims := map[string]any{"iss": p.URL, "aud": Client, "sub": "nobody", "iat": now.Unix(), "exp": now.Add(time.Hour).Unix(), "nonce": f.nonce}
	maps.Copy(claims, p.claims)
	raw, err := jwt.Signed(p.signer).Claims(claims).Serialize()
	if err != nil {
		http.Error(w, err.Error(), http.StatusInternalServerError)
		return
	}
	answer(w, map[string]any{"access_token": rand.Text(), "token_type": "Bearer", "expires_in": 3600, "id_token": raw})
}
