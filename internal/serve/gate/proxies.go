package gate

import (
	"crypto/tls"
	"net"
	"net/http"
	"net/netip"
	"strings"

	"netagauge/internal/core/phrase"
)

// Proxies are the addresses of load balancers that stand before the server and are
// believed in what they say of whom they pass on. Nobody else is.
type Proxies []netip.Prefix

// ParseProxies reads addresses (10.0.0.5) and networks (10.0.0.0/24).
func ParseProxies(texts []string) (out Proxies, err error) {
	for _, text := range texts {
		p, err := netip.ParsePrefix(text)
		if err != nil {
			a, aerr := netip.ParseAddr(text)
			if aerr != nil {
				return nil, phrase.Wrong("use-proxy", text)
			}
			p = netip.PrefixFrom(a, a.BitLen())
		}
		out = append(out, p.Masked())
	}
	return out, nil
}

// has reports whether an address, or one with a port, is a proxy's.
func (p Proxies) has(text string) bool {
	a, ok := addressIn(text)
	for _, one := range p {
		if ok && one.Contains(a) {
			return true
		}
	}
	return false
}

// addressIn reads an address with or without a port; IPv4 within IPv6 is IPv4.
func addressIn(text string) (netip.Addr, bool) {
	text = strings.TrimSpace(text)
	if host, _, err := net.SplitHostPort(text); err == nil {
		text = host
	}
	a, err := netip.ParseAddr(strings.Trim(text, "[]"))
	return a.Unmap().WithZone(""), err == nil
}

// Handler gives requests that a proxy passes on the address of whom it passed them on
// for, and lets them be as secure as they were up to the proxy. Each proxy adds at the end
// of X-Forwarded-For whom it heard, so the last one there that is no proxy is the one:
// what stands before that is what a stranger may have written.
func (p Proxies) Handler(next http.Handler) http.Handler {
	if len(p) == 0 {
		return next
	}
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if !p.has(r.RemoteAddr) {
			next.ServeHTTP(w, r)
			return
		}
		passed := *r
		if from, told := p.from(r.Header.Values("X-Forwarded-For")); told {
			passed.RemoteAddr = net.JoinHostPort(from.String(), "0")
		}
		if passed.TLS == nil && r.Header.Get("X-Forwarded-Proto") == "https" {
			passed.TLS = &tls.ConnectionState{}
		}
		next.ServeHTTP(w, &passed)
	})
}

// from is the last address that is no proxy's; behind what is no address nobody is
// believed.
func (p Proxies) from(headers []string) (from netip.Addr, told bool) {
	chain := strings.Split(strings.Join(headers, ","), ",")
	for i := len(chain) - 1; i >= 0; i-- {
		a, ok := addressIn(chain[i])
		if !ok {
			return from, told
		}
		if from, told = a, true; !p.has(a.String()) {
			return from, told
		}
	}
	return from, told
}
