package serve

import (
	"fmt"
	"net"
	"net/http"
	"slices"
	"strings"
	"time"

	"github.com/boombuler/barcode/qr"

	"netagauge/internal/core/phrase"
	"netagauge/internal/keep/account"
	"netagauge/internal/keep/intake"
)

// peopleData fills the page of links and codes.
type peopleData struct {
	Code      string
	Names     []string
	Linked    map[string]bool
	Taken     []string // names that phones have taken
	Passcodes []account.Passcode
	Openid    bool             // people may sign in by a provider
	Invited   []account.Person // who may
	passcodeNews
	Complain string
	Leaving  []intake.Removal // who asked to be deleted, or is being deleted
}

func (s *Server) people(w http.ResponseWriter, r *http.Request, who account.Session) error {
	now, err := s.passcodeNews(r, who)
	if err != nil {
		return err
	}
	return s.showPeople(w, r, http.StatusOK, peopleData{passcodeNews: now})
}

func (s *Server) showPeople(w http.ResponseWriter, r *http.Request, status int, data peopleData) error {
	roster, err := s.readRoster(r.Context())
	if err == nil {
		data.Names = roster.Names()
		data.Code, err = s.Accounts.ClassCode(r.Context())
	}
	if err == nil {
		data.Linked, err = s.Accounts.Linked(r.Context())
	}
	if err == nil {
		data.Taken, err = s.Accounts.Taken(r.Context())
	}
	if err == nil {
		data.Passcodes, err = s.Accounts.Passcodes(r.Context())
	}
	if data.Openid = s.Openid != nil; err == nil && data.Openid {
		data.Invited, err = s.invitations().PeopleAt(r.Context(), s.Site)
	}
	if err == nil {
		data.Leaving, _, err = s.Folder.Removals(r.Context(), 0)
	}
	if err != nil {
		return err
	}
	return s.show(w, r, status, "people", page{Title: "people-title", Here: "people", Data: data})
}

func (s *Server) newCode(w http.ResponseWriter, r *http.Request, _ account.Session) error {
	if _, err := s.Accounts.NewClassCode(r.Context()); err != nil {
		return err
	}
	return redirect(w, r, "/people")
}

// linkData is one link to print, with its QR code as squares of an SVG path.
type linkData struct {
	Name, Address, Path string
	Until               string // day
	Size                int
}

// askLinks asks before everybody's link is put out of use by a new one.
func (s *Server) askLinks(w http.ResponseWriter, r *http.Request, _ account.Session) error {
	return s.show(w, r, http.StatusOK, "sure", page{Title: "link-all", Here: "people", Back: "/people",
		Data: sureData{Text: s.language(r).Word("link-all-text"), Action: "/people/links", Do: "link-all-do", Not: "/people"}})
}

// sureData fills a page that asks before something is done.
type sureData struct {
	Text        string
	Action, Not string      // addresses
	Do          string      // key
	Fields      [][2]string // that go along, by name
}

// linkSheet shows the links that were just made. They are no longer there a while
// later, and loading the page anew makes none.
func (s *Server) linkSheet(w http.ResponseWriter, r *http.Request, who account.Session) error {
	links, found, err := sheets.find(s, r, who, r.PathValue("id"))
	if err == nil && !found {
		return errNotFound
	}
	var open intake.Session
	if err == nil {
		open, _, err = s.openedClass(r.Context())
	}
	var task *taskData
	if err == nil {
		task, err = s.given(r.Context(), s.language(r), open.Name)
	}
	if err != nil {
		return err
	}
	return s.show(w, r, http.StatusOK, "links", page{Title: "link-sheet", Here: "people", Data: struct {
		Links []linkData
		Given *taskData // on every link's sheet
	}{links, task}})
}

// newLinks makes a link for the trainee named, or for everybody.
func (s *Server) newLinks(w http.ResponseWriter, r *http.Request, who account.Session) error {
	roster, err := s.readRoster(r.Context())
	if err != nil {
		return err
	}
	names := roster.Names()
	if name := r.PostFormValue("name"); name != "" {
		if !slices.Contains(names, name) {
			return errNotFound
		}
		names = []string{name}
	}
	var links []linkData
	for _, name := range names {
		token, err := s.Accounts.NewLink(r.Context(), name)
		if err != nil {
			return err
		}
		link := linkData{Name: name, Address: s.base(r) + "/t/" + token, Until: day(time.Now().Add(account.LinkLong))}
		if link.Path, link.Size, err = qrPath(link.Address); err != nil {
			return err
		}
		links = append(links, link)
	}
	id, err := sheets.keep(s, r, who, links)
	if err != nil {
		return err
	}
	return redirect(w, r, "/people/links/"+id)
}

// freeName lets another phone take a name.
func (s *Server) freeName(w http.ResponseWriter, r *http.Request, _ account.Session) error {
	if err := s.Accounts.Free(r.Context(), r.PostFormValue("name")); err != nil {
		return err
	}
	return redirect(w, r, "/people")
}

// base is the address of the site as phones reach it.
func (s *Server) base(r *http.Request) string {
	host, _, err := net.SplitHostPort(r.Host)
	if err != nil {
		host = r.Host
	}
	if ip := net.ParseIP(host); host == "localhost" || ip != nil && ip.IsLoopback() {
		return s.Base
	}
	if r.TLS != nil {
		return "https://" + r.Host
	}
	return "http://" + r.Host
}

// qrPath draws a QR code as an SVG path in modules, with the quiet zone of four
// that ISO/IEC 18004 asks for.
func qrPath(text string) (path string, size int, err error) {
	code, err := qr.Encode(text, qr.M, qr.Auto)
	if err != nil {
		return "", 0, err
	}
	const quiet = 4
	var b strings.Builder
	n := code.Bounds().Dx()
	for y := range n {
		for x := range n {
			if v, _, _, _ := code.At(x, y).RGBA(); v == 0 {
				fmt.Fprintf(&b, "M%d %dh1v1h-1z", x+quiet, y+quiet)
			}
		}
	}
	return b.String(), n + 2*quiet, nil
}

// refusedPasscode says on the page itself what cannot be.
func (s *Server) refusedPasscode(w http.ResponseWriter, r *http.Request, err error) error {
	says, ok := phrase.In(s.language(r), err)
	switch {
	case ok && s.owns():
		return s.host.showSetUp(w, r, http.StatusUnprocessableEntity, setUpData{Complain: capital(says)})
	case ok:
		return s.showPeople(w, r, http.StatusUnprocessableEntity, peopleData{Complain: capital(says)})
	}
	return err
}
