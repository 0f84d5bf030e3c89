// Package openid signs people in by what an organisation has: an OpenID provider
// (OpenID Connect Core 1.0), by the authorization code flow with PKCE (RFC 7636).
// It tells who came; who may come in, package account knows. Between leaving and
// coming back the browser alone remembers, in a cookie of some minutes, so that any
// of several servers may receive the answer.
package openid

import (
	"context"
	"crypto/subtle"
	"encoding/base64"
	"errors"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"sync"
	"time"

	"github.com/coreos/go-oidc/v3/oidc"
	"golang.org/x/oauth2"

	"netagauge/internal/core/phrase"
	"netagauge/internal/keep/account"
)

// BackPath is where the provider sends people back to.
const BackPath = "/openid/back"

// What may go wrong, as a person reads it; the cause is for the log.
var (
	ErrGone     = phrase.Wrong("openid-gone")     // the provider is out of reach
	ErrRefused  = phrase.Wrong("openid-refused")  // it, or the person there, said no
	ErrStale    = phrase.Wrong("openid-stale")    // no sign-in of this browser has begun, or its answer came before
	ErrNonce    = phrase.Wrong("openid-nonce")    // the answer is to another sign-in
	ErrAudience = phrase.Wrong("openid-audience") // it is for another program
	ErrExpired  = phrase.Wrong("openid-expired")
	ErrToken    = phrase.Wrong("openid-token") // it is not the provider's
)

// Options are what the provider and this program know each other by.
type Options struct {
	Issuer, Client, Secret string
	Back                   string // whole address of BackPath as registered; empty for that of the request
}

// Provider is one of them. It is asked who it is at the first sign-in, so that the
// pages are there without it.
type Provider struct {
	Options
	mu    sync.Mutex
	found *oidc.Provider
	leave string // where people sign out, empty where it has no such page
	asked time.Time
	gone  error // what asking came to then
}

// New does not look for the provider yet.
func New(o Options) *Provider { return &Provider{Options: o} }

// patience is how long the provider may take, pause how long it is left alone when it
// was out of reach, and flight how long a person may take there.
const patience, pause, flight = 10 * time.Second, 2 * time.Second, 10 * time.Minute

var client = &http.Client{Timeout: patience}

// provider is what discovery tells (OpenID Connect Discovery 1.0), asked for until
// it came once.
func (p *Provider) provider(ctx context.Context) (*oidc.Provider, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.found != nil {
		return p.found, nil
	}
	if p.gone != nil && time.Since(p.asked) < pause {
		return nil, p.gone
	}
	defer func() { p.asked = time.Now() }()
	// The keys are asked for later, too: not by a request's context, which ends.
	found, err := oidc.NewProvider(oidc.ClientContext(context.WithoutCancel(ctx), client), p.Issuer)
	if p.gone = nil; err != nil {
		p.gone = ErrGone.For(err)
		return nil, p.gone
	}
	var more struct {
		Leave string `json:"end_session_endpoint"`
	}
	if err := found.Claims(&more); err != nil {
		return nil, ErrGone.For(err)
	}
	p.found, p.leave = found, more.Leave
	return found, nil
}

func (p *Provider) config(r *http.Request, at *oidc.Provider) *oauth2.Config {
	back := p.Back
	if back == "" {
		back = origin(r) + BackPath
	}
	return &oauth2.Config{ClientID: p.Client, ClientSecret: p.Secret, Endpoint: at.Endpoint(), RedirectURL: back, Scopes: []string{oidc.ScopeOpenID, "email", "profile"}}
}

func origin(r *http.Request) string {
	if r.TLS != nil {
		return "https://" + r.Host
	}
	return "http://" + r.Host
}

// Begin sends a browser to the provider; to is what Finish is to give back.
func (p *Provider) Begin(w http.ResponseWriter, r *http.Request, to string) error {
	at, err := p.provider(r.Context())
	if err != nil {
		return err
	}
	state, nonce, verifier := oauth2.GenerateVerifier(), oauth2.GenerateVerifier(), oauth2.GenerateVerifier()
	remember(w, r, strings.Join([]string{state, nonce, verifier, base64.RawURLEncoding.EncodeToString([]byte(to))}, "."), flight)
	http.Redirect(w, r, p.config(r, at).AuthCodeURL(state, oidc.Nonce(nonce), oauth2.S256ChallengeOption(verifier)), http.StatusSeeOther)
	return nil
}

// Finish takes the provider's answer. The browser forgets the sign-in, so that no
// answer counts twice.
func (p *Provider) Finish(w http.ResponseWriter, r *http.Request) (who account.Identity, to string, err error) {
	c, err := r.Cookie(cookieName(r))
	remember(w, r, "", -time.Hour)
	if err != nil {
		return who, "", ErrStale
	}
	kept, q := strings.Split(c.Value, "."), r.URL.Query()
	if len(kept) != 4 || subtle.ConstantTimeCompare([]byte(kept[0]), []byte(q.Get("state"))) != 1 {
		return who, "", ErrStale
	}
	if iss := q.Get("iss"); iss != "" && iss != p.Issuer { // RFC 9207
		return who, "", ErrToken
	}
	if said := q.Get("error"); said != "" || q.Get("code") == "" {
		return who, "", ErrRefused.For(errors.New(said + ": " + q.Get("error_description")))
	}
	at, err := p.provider(r.Context())
	if err != nil {
		return who, "", err
	}
	ctx := oidc.ClientContext(r.Context(), client)
	token, err := p.config(r, at).Exchange(ctx, q.Get("code"), oauth2.VerifierOption(kept[2]))
	if err != nil {
		return who, "", exchangeError(err)
	}
	raw, _ := token.Extra("id_token").(string)
	who, err = p.verified(ctx, at, raw, kept[1])
	wanted, _ := base64.RawURLEncoding.DecodeString(kept[3])
	return who, string(wanted), err
}

// exchangeError is the provider's word about a code, or that it is gone.
func exchangeError(err error) error {
	if e := (*oauth2.RetrieveError)(nil); errors.As(err, &e) && e.Response.StatusCode < http.StatusInternalServerError {
		return ErrRefused.For(err)
	}
	return ErrGone.For(err)
}

// verified reads an ID token by the rules of OpenID Connect Core, 3.1.3.7.
func (p *Provider) verified(ctx context.Context, at *oidc.Provider, raw, nonce string) (account.Identity, error) {
	token, err := at.VerifierContext(ctx, &oidc.Config{SkipClientIDCheck: true}).Verify(ctx, raw)
	if e := (*oidc.TokenExpiredError)(nil); errors.As(err, &e) {
		return account.Identity{}, ErrExpired.For(err)
	}
	if err != nil {
		return account.Identity{}, ErrToken.For(err)
	}
	var claims struct {
		Party    string `json:"azp"`
		Email    string `json:"email"`
		Verified any    `json:"email_verified"` // some providers say "true"
	}
	if err := token.Claims(&claims); err != nil {
		return account.Identity{}, ErrToken.For(err)
	}
	switch {
	case !slices.Contains(token.Audience, p.Client) || claims.Party != "" && claims.Party != p.Client:
		return account.Identity{}, ErrAudience
	case subtle.ConstantTimeCompare([]byte(token.Nonce), []byte(nonce)) != 1:
		return account.Identity{}, ErrNonce
	case token.Subject == "":
		return account.Identity{}, ErrToken
	}
	return account.Identity{Issuer: token.Issuer, Subject: token.Subject, Email: strings.ToLower(strings.TrimSpace(claims.Email)),
		Verified: claims.Verified == true || claims.Verified == "true"}, nil
}

// Leave is where a browser signs out of the provider, too (OpenID Connect RP-Initiated
// Logout 1.0); empty where it has no such page, or was not asked yet.
func (p *Provider) Leave(r *http.Request) string {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.leave == "" {
		return ""
	}
	u, err := url.Parse(p.leave)
	if err != nil || u.Scheme != "https" && u.Scheme != "http" {
		return ""
	}
	q := u.Query()
	q.Set("client_id", p.Client)
	q.Set("post_logout_redirect_uri", strings.TrimSuffix(p.config(r, p.found).RedirectURL, BackPath)+"/")
	u.RawQuery = q.Encode()
	return u.String()
}

func cookieName(r *http.Request) string {
	if r.TLS != nil {
		return "__Host-openid"
	}
	return "openid"
}

// remember is Lax and not Strict: the provider's answer comes from elsewhere.
func remember(w http.ResponseWriter, r *http.Request, value string, long time.Duration) {
	http.SetCookie(w, &http.Cookie{Name: cookieName(r), Value: value, Path: "/", MaxAge: int(long.Seconds()),
		HttpOnly: true, Secure: r.TLS != nil, SameSite: http.SameSiteLaxMode})
}
