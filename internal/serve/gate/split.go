package gate

import (
	"crypto/tls"
	"net"
	"sync"
	"time"
)

// firstByte is how long a connection may take to say whether it speaks TLS.
const firstByte = 10 * time.Second

// splitter is a gate's connections, those that begin as TLS does (RFC 8446, 5.1: a
// handshake record, 22) under TLS, the others as they are: one port for both.
type splitter struct {
	*Gate
	config *tls.Config
	ready  chan net.Conn
	failed chan error
	closed chan struct{}
	once   sync.Once
}

// Split lets a gate's connections speak TLS or not.
func Split(g *Gate, config *tls.Config) net.Listener {
	s := &splitter{Gate: g, config: config, ready: make(chan net.Conn), failed: make(chan error, 1), closed: make(chan struct{})}
	go s.accept()
	return s
}

func (s *splitter) accept() {
	for {
		c, err := s.Gate.Accept()
		if err != nil {
			s.failed <- err
			return
		}
		go s.look(c.(*conn))
	}
}

// look reads the first byte, which Read gives once more.
func (s *splitter) look(c *conn) {
	c.SetReadDeadline(time.Now().Add(firstByte))
	var first [1]byte
	if _, err := c.Conn.Read(first[:]); err != nil {
		c.Close()
		return
	}
	c.SetReadDeadline(time.Time{})
	c.first = first[:]
	var out net.Conn = c
	if first[0] == 22 {
		out = tls.Server(c, s.config)
	}
	select {
	case s.ready <- out:
	case <-s.closed:
		out.Close()
	}
}

func (s *splitter) Accept() (net.Conn, error) {
	select {
	case c := <-s.ready:
		return c, nil
	case err := <-s.failed:
		s.failed <- err
		return nil, err
	}
}

func (s *splitter) Close() error {
	s.once.Do(func() { close(s.closed) })
	return s.Gate.Close()
}

// Read gives the byte that was looked at before all others.
func (c *conn) Read(p []byte) (int, error) {
	if len(c.first) == 0 || len(p) == 0 {
		return c.Conn.Read(p)
	}
	n := copy(p, c.first)
	c.first = c.first[n:]
	return n, nil
}
