package gate

import (
	"fmt"
	"io"
	"net"
	"net/http"
	"testing"
	"time"

	"netagauge/internal/core/fatal"
)

func TestAddress(t *testing.T) {
	for in, want := range map[string]string{
		"192.0.2.7:4000":                "192.0.2.7",
		"[2001:db8:1:2:3:4:5:6]:4000":   "2001:db8:1:2::/64",
		"[2001:db8:1:2:ffff::1]:4000":   "2001:db8:1:2::/64",
		"[fe80::1%eth0]:4000":           "fe80::/64",
		"[::ffff:192.0.2.7]:4000":       "::ffff:192.0.2.7",
		"a socket of another sort, say": "a socket of another sort, say",
	} {
		if got := Address(in); got != want {
			t.Errorf("Address(%q) = %q, want %q", in, got, want)
		}
	}
}

// slow is a server behind a gate. Requests for /slow are told of when they have begun
// and answered when they may be.
type slow struct {
	to     string
	begun  chan bool
	answer chan bool
	door   *Gate
}

// quiet waits until no request is being answered.
func (s *slow) quiet() {
	busy := func() (n int) {
		s.door.mu.Lock()
		defer s.door.mu.Unlock()
		for _, h := range s.door.open {
			n += h.open - h.waiting.Len()
		}
		return n
	}
	for busy() > 0 {
		time.Sleep(time.Millisecond)
	}
}

// behind serves behind a gate.
func behind(t *testing.T, limits Limits) *slow {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	fatal.If(t, err)
	door := New(l, limits)
	s := &slow{l.Addr().String(), make(chan bool), make(chan bool), door}
	h := &http.Server{ConnState: door.State, Handler: http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.URL.Path == "/slow" {
			s.begun <- true
			<-s.answer
		}
		io.WriteString(w, "here")
	})}
	go h.Serve(door)
	t.Cleanup(func() {
		h.Close()
		door.mu.Lock()
		defer door.mu.Unlock()
		if door.all != 0 || len(door.open) != 0 {
			t.Errorf("%d connections of %d addresses are still counted", door.all, len(door.open))
		}
	})
	return s
}

// from dials from an address of the loop.
func from(t *testing.T, source, to string) net.Conn {
	t.Helper()
	d := net.Dialer{LocalAddr: &net.TCPAddr{IP: net.ParseIP(source)}, Timeout: time.Minute}
	c, err := d.Dial("tcp", to)
	fatal.If(t, err)
	t.Cleanup(func() { c.Close() })
	return c
}

// ask sends a request on a connection and reports whether it was answered.
func ask(c net.Conn, path string) bool {
	c.SetDeadline(time.Now().Add(time.Minute))
	if _, err := fmt.Fprintf(c, "GET %s HTTP/1.1\r\nHost: x\r\n\r\n", path); err != nil {
		return false
	}
	answer := make([]byte, 12)
	_, err := io.ReadFull(c, answer)
	return err == nil && string(answer) == "HTTP/1.1 200"
}

func TestOldestWaitingIsDropped(t *testing.T) {
	s := behind(t, Limits{All: 100, Each: 3})
	to := s.to
	busy, first, second := from(t, "127.0.0.1", to), from(t, "127.0.0.1", to), from(t, "127.0.0.1", to)
	answered := make(chan bool)
	go func() { answered <- ask(busy, "/slow") }()
	<-s.begun
	if !ask(from(t, "127.0.0.1", to), "/") {
		t.Error("the fourth connection is not answered")
	}
	close(s.answer)
	if !<-answered {
		t.Error("a connection was dropped while it was answered")
	}
	if ask(first, "/") {
		t.Error("the connection that waited longest is still there")
	}
	if !ask(second, "/") || !ask(from(t, "127.0.0.2", to), "/") {
		t.Error("another connection was dropped")
	}
}

// Who holds most gives way to others; an address whose connections are all busy
// gets no more.
func TestOthersGetIn(t *testing.T) {
	s := behind(t, Limits{All: 6, Each: 4})
	to := s.to
	for range 4 {
		c := from(t, "127.0.0.1", to)
		go ask(c, "/slow")
		<-s.begun
	}
	if ask(from(t, "127.0.0.1", to), "/") {
		t.Error("a fifth connection beside four busy ones is answered")
	}
	close(s.answer)
	s.quiet()
	for i := 2; i < 12; i++ {
		if !ask(from(t, fmt.Sprintf("127.0.0.%d", i), to), "/") {
			t.Errorf("address %d is not answered", i)
		}
	}
}
