// Package gate shares the door among addresses: how many connections each may
// hold open, and how often each may try something in vain, so that one that asks
// for too much is in nobody's way but its own. It knows no page and no person.
package gate

import (
	"container/list"
	"crypto/tls"
	"net"
	"net/http"
	"net/netip"
	"sync"
)

// Address is whom limits count: an IPv4 address, or the /64 network that an IPv6
// host usually has to itself, of an address as net and net/http write it.
func Address(hostPort string) string {
	host, _, err := net.SplitHostPort(hostPort)
	if err != nil {
		return hostPort
	}
	a, err := netip.ParseAddr(host)
	if err != nil || a.Unmap().Is4() {
		return host
	}
	p, _ := a.WithZone("").Prefix(64)
	return p.String()
}

// Limits of connections that are open at once. Proxies have no limit of their own, since
// theirs are of many.
type Limits struct {
	All, Each int
	Proxies   Proxies
}

// Usual are some more than a class behind one address needs, each phone with the
// six connections that a browser opens at most.
var Usual = Limits{All: 800, Each: 240}

// Gate is a listener that keeps to its limits. Where one is reached the connection
// is dropped that has waited longest without a request: of the same address, or
// of the one that holds most. Without such a one the new connection is closed.
// An http.Server tells it of requests by State.
type Gate struct {
	net.Listener
	limits Limits

	mu   sync.Mutex
	open map[string]*holder
	all  int
}

// holder is one address.
type holder struct {
	open    int
	waiting list.List // *conn without a request, the longest first
}

// conn is one connection.
type conn struct {
	net.Conn
	gate   *Gate
	holder *holder
	from   string
	place  *list.Element // in holder.waiting; nil while a request is answered
	first  []byte        // looked at, and still to be read
	gone   bool
}

// New puts a gate before a listener.
func New(l net.Listener, limits Limits) *Gate {
	return &Gate{Listener: l, limits: limits, open: map[string]*holder{}}
}

// Before puts a gate before a server, which tells it of its requests and hears from whom
// proxies pass them on.
func Before(h *http.Server, l net.Listener, limits Limits) *Gate {
	g := New(l, limits)
	h.ConnState, h.Handler = g.State, limits.Proxies.Handler(h.Handler)
	return g
}

// Accept returns the next connection that there is room for.
func (g *Gate) Accept() (net.Conn, error) {
	for {
		c, err := g.Listener.Accept()
		if err != nil {
			return nil, err
		}
		if in := g.enter(c); in != nil {
			return in, nil
		}
		c.Close()
	}
}

// enter counts a connection in, or gives nil where there is no room.
func (g *Gate) enter(c net.Conn) *conn {
	g.mu.Lock()
	defer g.mu.Unlock()
	from := Address(c.RemoteAddr().String())
	h := g.open[from]
	if h == nil {
		h = &holder{}
	}
	if h.open >= g.limits.Each && !g.limits.Proxies.has(c.RemoteAddr().String()) && !g.drop(h) {
		return nil
	}
	if g.all >= g.limits.All && !g.drop(g.most()) {
		return nil
	}
	in := &conn{Conn: c, gate: g, holder: h, from: from}
	in.place = h.waiting.PushBack(in)
	g.open[from] = h
	h.open++
	g.all++
	return in
}

// most is the address with most connections that can be dropped.
func (g *Gate) most() *holder {
	best := &holder{}
	for _, h := range g.open {
		if h.waiting.Len() > best.waiting.Len() {
			best = h
		}
	}
	return best
}

// drop closes the connection of an address that has waited longest.
func (g *Gate) drop(h *holder) bool {
	first := h.waiting.Front()
	if first == nil {
		return false
	}
	c := first.Value.(*conn)
	g.leave(c)
	go c.Conn.Close() // which may wait for what is still to be sent
	return true
}

// leave counts a connection out, once.
func (g *Gate) leave(c *conn) {
	if c.gone {
		return
	}
	c.gone = true
	if c.place != nil {
		c.holder.waiting.Remove(c.place)
	}
	g.all--
	if c.holder.open--; c.holder.open == 0 {
		delete(g.open, c.from)
	}
}

// Close closes the connection and counts it out.
func (c *conn) Close() error {
	c.gate.mu.Lock()
	c.gate.leave(c)
	c.gate.mu.Unlock()
	return c.Conn.Close()
}

// State is for http.Server.ConnState: a connection whose request is being
// answered is not dropped.
func (g *Gate) State(c net.Conn, s http.ConnState) {
	if over, ok := c.(*tls.Conn); ok {
		c = over.NetConn()
	}
	in, ok := c.(*conn)
	if !ok {
		return
	}
	g.mu.Lock()
	defer g.mu.Unlock()
	switch {
	case in.gone:
	case s == http.StateActive && in.place != nil:
		in.holder.waiting.Remove(in.place)
		in.place = nil
	case s == http.StateIdle && in.place == nil:
		in.place = in.holder.waiting.PushBack(in)
	}
}
