package serve

import (
	"context"
	"net/http"
	"slices"
	"strings"
	"time"

	"netagauge/internal/keep/account"
	"netagauge/internal/keep/organisation"
)

// owns reports whether these are the pages of an organisation's owners.
func (s *Server) owns() bool { return s.host != nil && s == s.host.Server }

// routes are the organisation's own pages.
func (o *Organisation) routes() *http.ServeMux {
	m := http.NewServeMux()
	o.entrance(m)
	m.HandleFunc("GET /at/{site}", o.answering(o.atSite))
	m.HandleFunc("GET /elsewhere", o.answering(o.leaveSite))
	owner := o.only(account.Owner)
	m.Handle("GET /sites", owner(o.overview))
	m.Handle("GET /sites/{site}", owner(o.site))
	m.Handle("GET /sites/{site}/look", owner(o.lookAt))
	m.Handle("POST /sites/{site}/name", owner(o.call))
	m.Handle("POST /sites/{site}/closed", owner(o.setClosed))
	m.Handle("POST /sites/{site}/passcode", owner(o.sitePasscode))
	m.Handle("POST /sites/{site}/move", owner(o.move))
	m.Handle("GET /standard", owner(o.standard))
	m.Handle("POST /standard", owner(o.tryStandard))
	m.Handle("POST /standard/keep", owner(o.keepStandard))
	m.Handle("POST /standard/undo", owner(o.undoStandard))
	m.Handle("GET /organisation", owner(o.setUp))
	m.Handle("POST /organisation/sites", owner(o.add))
	m.Handle("POST /organisation/owners", owner(o.newPasscode))
	m.Handle("POST /organisation/owners/remove", owner(o.removePasscode))
	m.Handle("POST /organisation/owners/back", owner(o.restorePasscode))
	m.Handle("POST /organisation/accounts", owner(o.inviteTo))
	m.Handle("POST /organisation/accounts/remove", owner(o.uninviteFrom))
	m.HandleFunc("/", o.answering(func(http.ResponseWriter, *http.Request) error { return errNotFound }))
	return m
}

// doors are the sites that people come in at.
func (o *Organisation) doors(ctx context.Context, l lang) (out []linkTo, err error) {
	all, err := o.all(ctx)
	for _, s := range all {
		if !s.Closed {
			out = append(out, linkTo{s.Title(l.Tag()), "/at/" + s.Name})
		}
	}
	slices.SortStableFunc(out, func(a, b linkTo) int { return strings.Compare(a.Text, b.Text) })
	return out, err
}

// wanted is the site that an address names, as it is now, whichever server changed it;
// errNotFound without one.
func (o *Organisation) wanted(r *http.Request) (of organisation.Site, err error) {
	o.changed()
	of, found, err := o.find(r.Context(), r.PathValue("site"))
	if err == nil && !found {
		err = errNotFound
	}
	return of, err
}

// atSite remembers where this browser is used.
func (o *Organisation) atSite(w http.ResponseWriter, r *http.Request) error {
	of, err := o.wanted(r)
	if err != nil {
		return err
	}
	o.cookie(w, r, siteCookie, of.Name, time.Now().AddDate(1, 0, 0))
	return redirect(w, r, "/")
}

// leaveSite forgets it.
func (o *Organisation) leaveSite(w http.ResponseWriter, r *http.Request) error {
	o.cookie(w, r, siteCookie, "", time.Unix(1, 0))
	return redirect(w, r, "/")
}

// lookAt shows an owner a site's class or line.
func (o *Organisation) lookAt(w http.ResponseWriter, r *http.Request, _ account.Session) error {
	of, err := o.wanted(r)
	if err != nil {
		return err
	}
	o.cookie(w, r, siteCookie, of.Name, time.Now().Add(24*time.Hour))
	to := "/class"
	if r.URL.Query().Get("to") == "line" {
		to = "/line"
	}
	return redirect(w, r, to)
}

// setUpData fills the page on which an organisation is set up.
type setUpData struct {
	Sites     []organisation.Site
	Tag       string // of the page's language
	Adding    bool   // a site was refused, whose fields are as they were filled in
	Short     string
	Languages []titleField
	Owners    []account.Passcode
	Openid    bool
	Invited   []invited
	passcodeNews
	Complain string
}

// titleField is what a site is called in one language.
type titleField struct {
	lang
	Text string
}

func (o *Organisation) titleFields(of map[string]string) (out []titleField) {
	for _, l := range o.Languages {
		out = append(out, titleField{l, of[l.Tag()]})
	}
	return out
}

func (o *Organisation) titles(r *http.Request) map[string]string {
	out := map[string]string{}
	for _, l := range o.Languages {
		out[l.Tag()] = strings.TrimSpace(r.PostFormValue("title-" + l.Tag()))
	}
	return out
}

// invited is one place of somebody who signs in by a provider.
type invited struct {
	ID         int64
	Known      string // e-mail, or the provider's number
	Site, Role string
	Who        string
	As         string
}

func (o *Organisation) setUp(w http.ResponseWriter, r *http.Request, who account.Session) error {
	o.changed()
	now, err := o.passcodeNews(r, who)
	if err != nil {
		return err
	}
	return o.showSetUp(w, r, http.StatusOK, setUpData{passcodeNews: now})
}

func (o *Organisation) showSetUp(w http.ResponseWriter, r *http.Request, status int, data setUpData) error {
	l := o.language(r)
	data.Tag, data.Languages, data.Openid = l.Tag(), o.titleFields(o.titles(r)), o.Openid != nil
	if data.Adding = r.URL.Path == "/organisation/sites"; data.Adding {
		data.Short = r.PostFormValue("name")
	}
	var err error
	var people []account.Person
	if data.Sites, err = o.all(r.Context()); err == nil {
		data.Owners, err = o.Accounts.Passcodes(r.Context())
	}
	if err == nil && data.Openid {
		people, err = o.Accounts.People(r.Context())
	}
	if err != nil {
		return err
	}
	for _, x := range people {
		known := x.Email
		if known == "" {
			known = x.Subject
		}
		for _, p := range x.Places {
			data.Invited = append(data.Invited, invited{x.ID, known, p.Site, string(p.Role), p.Who, o.placeAs(l, p)})
		}
	}
	return o.show(w, r, status, "organisation", page{Title: "organisation", Here: "organisation", Data: data})
}

// add makes a site, and shows where its first instructor's passcode is made.
func (o *Organisation) add(w http.ResponseWriter, r *http.Request, _ account.Session) error {
	of := organisation.Site{Name: strings.ToLower(strings.TrimSpace(r.PostFormValue("name"))), Titles: o.titles(r)}
	if err := o.kept.Add(r.Context(), of); err != nil {
		return o.refusedPasscode(w, r, err)
	}
	o.changed()
	return redirect(w, r, "/sites/"+of.Name)
}
