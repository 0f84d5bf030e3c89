package serve

import (
	"net"
	"net/http"
)

// installData fills the page by which a phone comes to trust this kitchen's server.
type installData struct {
	Fingerprint string
	Address     string // of the site under TLS
	Ways        [][]string
}

// ways are the steps for each kind of phone, by keys: its name, then the steps.
var ways = [][]string{
	{"install-ios", "install-load", "install-ios-2", "install-ios-3", "install-check"},
	{"install-android", "install-load", "install-android-2", "install-check"},
	{"install-computer", "install-load", "install-computer-2", "install-check"},
}

func (s *Server) install(w http.ResponseWriter, r *http.Request) {
	if s.Authority == nil {
		s.notFound(w, r)
		return
	}
	address := "https://" + r.Host
	if host, _, err := net.SplitHostPort(r.Host); err == nil && net.ParseIP(host).IsLoopback() {
		address = s.Base // of which phones know
	}
	s.show(w, r, http.StatusOK, "install", page{Title: "install-title", Data: installData{s.Authority.Fingerprint(), address, ways}})
}

// certificate is what a phone installs.
func (s *Server) certificate(w http.ResponseWriter, r *http.Request) {
	if s.Authority == nil {
		s.notFound(w, r)
		return
	}
	w.Header().Set("Content-Type", "application/x-x509-ca-cert")
	w.Header().Set("Content-Disposition", `attachment; filename="netagauge.crt"`)
	w.Write(s.Authority.Certificate())
}
