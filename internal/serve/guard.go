package serve

import (
	"context"
	"errors"
	"io"
	"net"
	"net/http"
	"net/netip"
	"slices"
	"strings"
	"time"

	"netagauge/internal/keep/account"
	"netagauge/internal/serve/gate"
	"netagauge/internal/serve/metrics"
)

// policy lets a page load nothing but its own pictures, style and script. The
// script may ask for its own page anew (connect-src), to show progress, show a photo
// that was just taken (blob:), and open the page where the server is out of reach.
const policy = "default-src 'none'; img-src 'self' blob:; manifest-src 'self'; worker-src 'self'; style-src 'self'; script-src 'self'; connect-src 'self'; form-action 'self'; frame-ancestors 'none'; base-uri 'none'"

// maxForm bounds a request that carries no photo.
const maxForm = 1 << 20

// photoRoutes are the routes that carry photos; readSent bounds those.
var photoRoutes = []string{"POST /tray", "POST /line", "POST /mat", "POST /plan", "POST /shots/{id}/second", "POST /class/reference", "POST /exam/trays"}

// guard stands before every page: headers, forms from elsewhere, sizes.
func (s *Server) guard(next *http.ServeMux) http.Handler {
	forms := http.NewCrossOriginProtection()
	forms.SetDenyHandler(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		s.answer(w, r, problem(http.StatusForbidden, "trouble", "cross-origin"))
	}))
	inner := forms.Handler(next)
	guarded := http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		ctx, id := metrics.Request(r.Context())
		h.Set("X-Request-Id", id)
		*r = *r.WithContext(ctx) // the request itself, on which the route is noted
		h.Set("Content-Security-Policy", policy)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("X-Frame-Options", "DENY")
		// Not no-referrer: with it browsers send forms with the origin null.
		h.Set("Referrer-Policy", "same-origin")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		if s.Strict && r.TLS != nil {
			h.Set("Strict-Transport-Security", "max-age=31536000")
		}
		if !strings.HasPrefix(r.URL.Path, "/static/") {
			h.Set("Cache-Control", "no-store")
			h.Set("Vary", "Cookie, Accept-Language")
		}
		if _, route := next.Handler(r); !slices.Contains(photoRoutes, route) {
			r.Body = http.MaxBytesReader(w, r.Body, maxForm)
		}
		if !s.answersTo(r) {
			s.answer(w, r, problem(http.StatusMisdirectedRequest, "wrong-host", "wrong-host-text"))
			return
		}
		inner.ServeHTTP(w, r)
	})
	if s.Numbers == nil {
		return guarded
	}
	return s.Numbers.Requests(guarded)
}

// answersTo reports whether a request names this server: an address of its own, or
// one of its names. A page elsewhere could else have its own name point here and
// read what a phone on this network may.
func (s *Server) answersTo(r *http.Request) bool {
	host, _, err := net.SplitHostPort(r.Host)
	if err != nil {
		host = strings.Trim(r.Host, "[]")
	}
	ip, err := netip.ParseAddr(host)
	if err != nil {
		return slices.ContainsFunc(s.Names, func(name string) bool { return strings.EqualFold(name, strings.TrimSuffix(host, ".")) })
	}
	if ip.IsLoopback() {
		return true
	}
	own, _ := net.InterfaceAddrs()
	return slices.ContainsFunc(own, func(a net.Addr) bool {
		n, ok := a.(*net.IPNet)
		return ok && n.IP.Equal(ip.WithZone("").AsSlice())
	})
}

const languageCookie = "language"

// sessionCookie has a name of its own under TLS, which pages without it can neither
// read nor set (RFC 6265bis, 4.1.3.2).
func sessionCookie(r *http.Request) string {
	if r.TLS != nil {
		return "__Host-netagauge"
	}
	return "netagauge"
}

type sessionKey struct{}

// who is the session of a request; found is false for a stranger.
func (s *Server) who(r *http.Request) (account.Session, bool, error) {
	if known, ok := r.Context().Value(sessionKey{}).(account.Session); ok {
		return known, true, nil
	}
	c, err := r.Cookie(sessionCookie(r))
	if err != nil {
		return account.Session{}, false, nil
	}
	who, found, err := s.Accounts.Session(r.Context(), c.Value)
	if s.owns() {
		who.Role = account.Owner
	}
	return who, found, err
}

// maxDrain is more than a phone's photo has.
const maxDrain = 24 << 20

// drain lets the rest of a photo come before the answer that refuses it: a phone
// that is cut off while sending shows its own words instead of ours.
func drain(r *http.Request) { io.CopyN(io.Discard, r.Body, maxDrain) }

// slowDown is the answer to who tries too often.
func slowDown(wait time.Duration) error {
	return later(http.StatusTooManyRequests, "slow-down", "slow-text", wait)
}

// try takes a try from a throttle.
func try(t *gate.Throttle, who string) (done func(inVain bool), err error) {
	done, wait := t.Try(who)
	if done == nil {
		err = slowDown(wait)
	}
	return done, err
}

// anybody stands for all addresses together.
const anybody = ""

// trySecret takes a try at a secret from what a request's address has left, at all servers of
// the record together. This server's own throttle stands before: it bounds how many are
// under way, and what is asked of the record.
func (s *Server) trySecret(r *http.Request, at string, t *gate.Throttle) (done func(inVain bool), err error) {
	who := gate.Address(r.RemoteAddr)
	here, err := try(t, who)
	if err != nil {
		return nil, err
	}
	own, err := s.Accounts.Owed(r.Context(), at, who)
	var all time.Duration
	if err == nil {
		all, err = s.Accounts.Owed(r.Context(), at, anybody)
	}
	if wait := t.Wait(own, all); err == nil && wait > 0 {
		err = slowDown(wait)
	}
	if err != nil {
		here(false)
		return nil, err
	}
	return func(inVain bool) {
		here(inVain)
		if inVain {
			s.owe(r.Context(), at, who, t)
		}
	}, nil
}

// owe keeps that a try was in vain, also when who tried has gone.
func (s *Server) owe(ctx context.Context, at, who string, t *gate.Throttle) {
	ctx = context.WithoutCancel(ctx)
	err := errors.Join(s.Accounts.Owe(ctx, at, who, t.Each.Wait, t.Each.Most()), s.Accounts.Owe(ctx, at, anybody, t.All.Wait, t.All.Most()))
	if err != nil {
		s.Log.ErrorContext(ctx, "keep that a try was in vain", "err", err)
	}
}
