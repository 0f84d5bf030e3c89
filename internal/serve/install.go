package serve

import (
	"net"
	"net/http"
	"slices"
	"strings"
)

// installData fills the page by which a phone comes to trust this kitchen's server.
type installData struct {
	Fingerprint []string // in parts that fit a line
	Address     string   // of the site under TLS
	Ways        [][]string
}

// ways are the steps for each kind of phone, by keys: its name, then the steps.
var ways = [][]string{
	{"install-ios", "install-load", "install-check", "install-ios-2", "install-ios-3"},
	{"install-android", "install-load", "install-check", "install-android-2"},
	{"install-computer", "install-load", "install-check", "install-computer-2"},
}

func (s *Server) install(w http.ResponseWriter, r *http.Request) error {
	if s.Authority == nil {
		return errNotFound
	}
	address := "https://" + r.Host
	if host, _, err := net.SplitHostPort(r.Host); err == nil && net.ParseIP(host).IsLoopback() {
		address = strings.Replace(s.Base, "http://", "https://", 1) // of which phones know
	}
	return s.show(w, r, http.StatusOK, "install", page{Title: "install-title", Data: installData{inParts(s.Authority.Fingerprint()), address, ways}})
}

// inParts parts a fingerprint by eight bytes.
func inParts(fingerprint string) []string {
	var out []string
	for part := range slices.Chunk(strings.Split(fingerprint, ":"), 8) {
		out = append(out, strings.Join(part, ":"))
	}
	return out
}

// certificate is what a phone installs.
func (s *Server) certificate(w http.ResponseWriter, r *http.Request) error {
	if s.Authority == nil {
		return errNotFound
	}
	w.Header().Set("Content-Type", "application/x-x509-ca-cert")
	w.Header().Set("Content-Disposition", `attachment; filename="netagauge.crt"`)
	w.Write(s.Authority.Certificate())
	return nil
}
