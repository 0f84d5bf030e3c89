package gate

import (
	"fmt"
	"net"
	"net/http"
	"net/http/httptest"
	"testing"
	"time"

	"netagauge/internal/core/fatal"
)

// passed is the address and the security of a request as the pages see it.
func passed(t *testing.T, p Proxies, from, proto string, forwarded ...string) (address string, secure bool) {
	t.Helper()
	r := httptest.NewRequest(http.MethodGet, "/", nil)
	r.RemoteAddr = from
	for _, f := range forwarded {
		r.Header.Add("X-Forwarded-For", f)
	}
	r.Header.Set("X-Forwarded-Proto", proto)
	p.Handler(http.HandlerFunc(func(_ http.ResponseWriter, r *http.Request) { address, secure = Address(r.RemoteAddr), r.TLS != nil })).ServeHTTP(nil, r)
	return address, secure
}

// Addresses are those that RFC 5737 and RFC 3849 keep for examples.
func TestOnlyProxiesAreBelieved(t *testing.T) {
	p, err := ParseProxies([]string{"192.0.2.10", "198.51.100.0/28", "2001:db8::5"})
	fatal.If(t, err)
	for _, c := range []struct {
		from      string
		forwarded []string
		want      string
	}{
		{"192.0.2.10:4000", []string{"203.0.113.7"}, "203.0.113.7"},
		{"192.0.2.10:4000", []string{"203.0.113.7:5000"}, "203.0.113.7"},
		{"[::ffff:192.0.2.10]:4000", []string{"203.0.113.7"}, "203.0.113.7"},
		{"[2001:db8::5]:4000", []string{"2001:db8:1:2:3::4"}, "2001:db8:1:2::/64"},
		{"[2001:db8::5]:4000", []string{"[2001:db8:1:2:3::4]:80"}, "2001:db8:1:2::/64"},
		{"192.0.2.10:4000", []string{"203.0.113.7, 198.51.100.3"}, "203.0.113.7"},                  // through two proxies
		{"192.0.2.10:4000", []string{"203.0.113.9", "203.0.113.7", "198.51.100.3"}, "203.0.113.7"}, // in several headers
		{"192.0.2.10:4000", []string{"203.0.113.9, 203.0.113.7"}, "203.0.113.7"},                   // the first is what a stranger wrote
		{"192.0.2.10:4000", []string{"192.0.2.10, 203.0.113.7"}, "203.0.113.7"},
		{"192.0.2.10:4000", []string{"203.0.113.9, nonsense"}, "192.0.2.10"},
		{"192.0.2.10:4000", []string{"203.0.113.9, nonsense, 203.0.113.7"}, "203.0.113.7"},
		{"192.0.2.10:4000", []string{"198.51.100.1, 198.51.100.2"}, "198.51.100.1"}, // a proxy asks by itself
		{"192.0.2.10:4000", []string{""}, "192.0.2.10"},
		{"192.0.2.10:4000", nil, "192.0.2.10"},
		{"203.0.113.7:4000", []string{"203.0.113.9"}, "203.0.113.7"}, // no proxy
		{"198.51.100.16:4000", []string{"203.0.113.9"}, "198.51.100.16"},
	} {
		if got, _ := passed(t, p, c.from, "", c.forwarded...); got != c.want {
			t.Errorf("from %s for %q: %s, want %s", c.from, c.forwarded, got, c.want)
		}
	}
	for from, want := range map[string]bool{"192.0.2.10:1": true, "203.0.113.7:1": false} {
		if _, secure := passed(t, p, from, "https"); secure != want {
			t.Errorf("https up to %s is secure: %v", from, secure)
		}
	}
	if _, secure := passed(t, p, "192.0.2.10:1", "http"); secure {
		t.Error("http is secure")
	}
	if got, secure := passed(t, nil, "192.0.2.10:1", "https", "203.0.113.7"); got != "192.0.2.10" || secure {
		t.Errorf("without proxies %s is believed, secure: %v", got, secure)
	}
	for _, wrong := range []string{"", "balancer.example", "10.0.0.0/33", "10.0.0"} {
		if _, err := ParseProxies([]string{wrong}); err == nil {
			t.Errorf("%q is taken for an address", wrong)
		}
	}
}

// A stranger gets no more tries by what it writes, straight or through the proxy; behind
// the proxy each has tries of its own.
func TestStrangerCannotSpoof(t *testing.T) {
	p, err := ParseProxies([]string{"192.0.2.10"})
	fatal.If(t, err)
	for _, c := range []struct {
		name, from, adds string
	}{{"straight", "203.0.113.7:4000", ""}, {"through the proxy", "192.0.2.10:4000", ", 203.0.113.7"}} {
		th := NewThrottle(Budget{3, time.Hour}, Budget{}, 1)
		let := 0
		for i := range 20 {
			who, _ := passed(t, p, c.from, "", fmt.Sprintf("203.0.113.%d%s", 100+i, c.adds))
			if done, _ := th.Try(who); done != nil {
				done(true)
				let++
			}
		}
		if let != 3 {
			t.Errorf("%s: %d tries, want 3", c.name, let)
		}
		if who, _ := passed(t, p, "192.0.2.10:4000", "", "203.0.113.8"); who != "203.0.113.8" {
			t.Errorf("another is %s", who)
		} else if done, _ := th.Try(who); done == nil {
			t.Errorf("%s: another has no tries", c.name)
		}
	}
}

// All connections of a proxy are not one phone's.
func TestProxyHoldsMore(t *testing.T) {
	p, err := ParseProxies([]string{"192.0.2.10", "2001:db8::5"})
	fatal.If(t, err)
	for from, want := range map[string]int{"192.0.2.10": 4, "2001:db8::5": 4, "203.0.113.7": 2} {
		g := New(nil, Limits{All: 4, Each: 2, Proxies: p})
		for range 5 {
			one, other := net.Pipe()
			defer other.Close()
			if in := g.enter(addressed{one, from}); in != nil {
				g.State(in, http.StateActive) // not to be dropped
			}
		}
		if g.all != want {
			t.Errorf("%s holds %d connections, want %d", from, g.all, want)
		}
	}
}

type addressed struct {
	net.Conn
	from string
}

func (a addressed) RemoteAddr() net.Addr { return &net.TCPAddr{IP: net.ParseIP(a.from), Port: 4000} }
