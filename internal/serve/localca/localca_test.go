package localca

import (
	"crypto/tls"
	"crypto/x509"
	"io"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"netagauge/internal/core/fatal"
	"netagauge/internal/keep/settings"
)

func opened(t *testing.T, dir string) *Authority {
	t.Helper()
	a, err := Open(t.Context(), settings.InFolder(dir), []string{"localhost", "kitchen"})
	fatal.If(t, err)
	return a
}

// A browser that has the authority's certificate reaches the server by address and
// by name; one that has not does not.
func TestReached(t *testing.T) {
	a := opened(t, t.TempDir())
	l, err := net.Listen("tcp", "127.0.0.1:0")
	fatal.If(t, err)
	h := &http.Server{TLSConfig: a.Config([]string{"localhost", "kitchen.local"}), ErrorLog: nil,
		Handler: http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) { io.WriteString(w, "here") })}
	go h.ServeTLS(l, "", "")
	defer h.Close()
	roots := x509.NewCertPool()
	cert, err := x509.ParseCertificate(a.Certificate())
	fatal.If(t, err)
	roots.AddCert(cert)
	for name, c := range map[string]struct {
		config *tls.Config
		well   bool
	}{
		"address":   {&tls.Config{RootCAs: roots}, true},
		"name":      {&tls.Config{RootCAs: roots, ServerName: "localhost"}, true},
		".local":    {&tls.Config{RootCAs: roots, ServerName: "kitchen.local"}, true},
		"elsewhere": {&tls.Config{RootCAs: roots, ServerName: "elsewhere.example"}, false},
		"stranger":  {&tls.Config{RootCAs: x509.NewCertPool()}, false},
	} {
		conn, err := tls.Dial("tcp", l.Addr().String(), c.config)
		if (err == nil) != c.well {
			t.Errorf("%s: %v", name, err)
		}
		if err == nil {
			conn.Close()
		}
	}
}

// A certificate for a name or address elsewhere, signed with the stolen key, is
// refused by Go and by OpenSSL.
func TestConstrained(t *testing.T) {
	dir := t.TempDir()
	a := opened(t, dir)
	roots := x509.NewCertPool()
	roots.AddCert(a.cert)
	for name, well := range map[string]bool{"localhost": true, "kitchen": true, "pass.kitchen.local": true, "bank.example": false, "kitchen.example": false} {
		leaf, err := a.issue([]string{name}, nil)
		fatal.If(t, err)
		if _, err := leaf.Leaf.Verify(x509.VerifyOptions{Roots: roots, DNSName: name}); (err == nil) != well {
			t.Errorf("%s: %v", name, err)
		}
	}
	for ip, well := range map[string]bool{"192.168.1.20": true, "10.0.0.5": true, "fe80::1": true, "203.0.113.7": false, "2001:db8::1": false} {
		leaf, err := a.issue(nil, []net.IP{net.ParseIP(ip)})
		fatal.If(t, err)
		if _, err := leaf.Leaf.Verify(x509.VerifyOptions{Roots: roots, DNSName: ip}); (err == nil) != well {
			t.Errorf("%s: %v", ip, err)
		}
	}
	if _, err := exec.LookPath("openssl"); err != nil {
		return
	}
	said, err := exec.Command("openssl", "x509", "-in", filepath.Join(dir, settings.Authority), "-noout", "-text", "-fingerprint", "-sha256").CombinedOutput()
	if err != nil || !strings.Contains(string(said), "Name Constraints: critical") || !strings.Contains(string(said), a.Fingerprint()) {
		t.Errorf("OpenSSL says %v:\n%s\nwe say %s", err, said, a.Fingerprint())
	}
}

// The authority stays, its key is its owner's alone, and the server's certificate is
// made anew before its end.
func TestKept(t *testing.T) {
	dir := t.TempDir()
	first, again := opened(t, dir), opened(t, dir)
	if first.Fingerprint() != again.Fingerprint() {
		t.Error("a second start made another authority")
	}
	for _, name := range []string{settings.Authority, settings.AuthorityKey} {
		info, err := os.Stat(filepath.Join(dir, name))
		if err != nil || info.Mode().Perm() != 0o600 {
			t.Errorf("%s: %v, %v", name, info.Mode(), err)
		}
	}
	names := []string{"localhost"}
	one, err := first.current(names)
	fatal.If(t, err)
	if two, _ := first.current(names); two != one {
		t.Error("each look makes another certificate")
	}
	first.now = func() time.Time { return time.Now().Add(leafLasts - renewed + time.Hour) }
	if two, err := first.current(names); err != nil || two == one {
		t.Errorf("it is not made anew before its end: %v", err)
	}
	fatal.If(t, os.Remove(filepath.Join(dir, settings.AuthorityKey)))
	if _, err := Open(t.Context(), settings.InFolder(dir), names); err == nil || !strings.Contains(err.Error(), "backup") {
		t.Errorf("without its key: %v", err)
	}
}
