package serve

import (
	"net/http"
	"strconv"
	"strings"

	"netagauge/internal/core/phrase"
	"netagauge/internal/keep/account"
	"netagauge/internal/keep/organisation"
)

// siteData fills the page where an owner sets up one site.
type siteData struct {
	Name, Title string
	Address     string // that people open there once
	Closed      bool
	Saved       bool // what was just changed
	Languages   []titleField
	Trainees    []string
	Others      []linkTo // sites that somebody may move to
	passcodeNews
	Complain string
}

func (o *Organisation) site(w http.ResponseWriter, r *http.Request, who account.Session) error {
	now, err := o.passcodeNews(r, who)
	if err != nil {
		return err
	}
	return o.showSite(w, r, http.StatusOK, siteData{Saved: r.URL.Query().Has("saved"), passcodeNews: now})
}

func (o *Organisation) showSite(w http.ResponseWriter, r *http.Request, status int, data siteData) error {
	of, err := o.wanted(r)
	if err != nil {
		return err
	}
	l := o.language(r)
	data.Name, data.Title, data.Closed, data.Languages = of.Name, of.Title(l.Tag()), of.Closed, o.titleFields(of.Titles)
	data.Address = o.base(r) + "/at/" + of.Name
	if !of.Closed {
		if err := o.rosterOf(r, &data); err != nil {
			return err
		}
	}
	return o.show(w, r, status, "site", page{Title: data.Title, Here: "organisation", Back: "/organisation", Data: data})
}

// rosterOf are the trainees of an open site, and where they may move to.
func (o *Organisation) rosterOf(r *http.Request, data *siteData) error {
	at, err := o.server(r.Context(), data.Name)
	if err != nil {
		return err
	}
	roster, err := at.server.readRoster(r.Context())
	if err != nil {
		return err
	}
	data.Trainees = roster.Names()
	doors, err := o.doors(r.Context(), o.language(r))
	for _, d := range doors {
		if name := strings.TrimPrefix(d.To, "/at/"); name != data.Name {
			data.Others = append(data.Others, linkTo{d.Text, name})
		}
	}
	return err
}

// refusedAt shows the page once more with what is wrong.
func (o *Organisation) refusedAt(w http.ResponseWriter, r *http.Request, err error) error {
	if says, ours := phrase.In(o.language(r), err); ours {
		return o.showSite(w, r, http.StatusUnprocessableEntity, siteData{Complain: capital(says)})
	}
	return err
}

// change changes a site and goes back to its page.
func (o *Organisation) change(w http.ResponseWriter, r *http.Request, do func(of organisation.Site) error) error {
	of, err := o.wanted(r)
	if err != nil {
		return err
	}
	if err := do(of); err != nil {
		return o.refusedAt(w, r, err)
	}
	o.changed()
	return redirect(w, r, "/sites/"+of.Name+"?saved")
}

func (o *Organisation) call(w http.ResponseWriter, r *http.Request, _ account.Session) error {
	return o.change(w, r, func(of organisation.Site) error { return o.kept.Call(r.Context(), of.Name, o.titles(r)) })
}

func (o *Organisation) setClosed(w http.ResponseWriter, r *http.Request, _ account.Session) error {
	return o.change(w, r, func(of organisation.Site) error {
		return o.kept.SetClosed(r.Context(), of.Name, r.PostFormValue("closed") != "")
	})
}

// sitePasscode makes an instructor's passcode at a site, which may be its first or in
// place of a lost one.
func (o *Organisation) sitePasscode(w http.ResponseWriter, r *http.Request, who account.Session) error {
	of, err := o.wanted(r)
	if err != nil {
		return err
	}
	at, err := o.server(r.Context(), of.Name)
	name, code := strings.TrimSpace(r.PostFormValue("name")), ""
	if err == nil {
		code, err = at.server.Accounts.RenewPasscode(r.Context(), name)
	}
	if err != nil {
		return o.refusedAt(w, r, err)
	}
	return o.showCode(w, r, who, "/sites/"+of.Name, passcodeMade{code, name})
}

// placeAs says what somebody is, and where.
func (o *Organisation) placeAs(l lang, p account.Place) string {
	if p.Site == "" {
		return l.Word("role-owner")
	}
	return l.Word("place-at", o.called(l, p.Site), l.Word("role-"+string(p.Role)))
}

// called is what a site is called.
func (o *Organisation) called(l lang, site string) string {
	o.mu.Lock()
	defer o.mu.Unlock()
	for _, s := range o.known {
		if s.Name == site {
			return s.Title(l.Tag())
		}
	}
	return site
}

// titleOf is that in the language of a request; empty for the organisation itself.
func (o *Organisation) titleOf(r *http.Request, site string) string {
	if site == "" {
		return ""
	}
	return o.called(o.language(r), site)
}

// admitTo lets somebody in at a place that a provider's person was invited to.
func (o *Organisation) admitTo(w http.ResponseWriter, r *http.Request, p account.Place) error {
	if p.Site == "" {
		who, token, err := o.Accounts.Admit(r.Context(), p)
		if err != nil {
			return err
		}
		who.Role = account.Owner
		return o.comeIn(w, r, who, token)
	}
	of, found, err := o.find(r.Context(), p.Site)
	if err == nil && (!found || of.Closed) {
		return problem(http.StatusNotFound, "site-closed", "site-closed-text")
	}
	var at *opened
	if err == nil {
		at, err = o.server(r.Context(), p.Site)
	}
	if err != nil {
		return err
	}
	return at.server.admit(w, r, p)
}

// inviteTo lets somebody sign in by a provider, at any site or as an owner.
func (o *Organisation) inviteTo(w http.ResponseWriter, r *http.Request, _ account.Session) error {
	if o.Openid == nil {
		return errNotFound
	}
	p := account.Place{Site: r.PostFormValue("site"), Role: account.Role(r.PostFormValue("role")), Who: r.PostFormValue("name")}
	err := o.mayInvite(r, &p)
	if err == nil {
		err = o.Accounts.Invite(r.Context(), r.PostFormValue("known"), o.Openid.Issuer, p)
	}
	if err != nil {
		return o.refusedPasscode(w, r, err)
	}
	return redirect(w, r, "/organisation")
}

// mayInvite makes an owner's place of one without a site, and asks the site's roster
// for a trainee.
func (o *Organisation) mayInvite(r *http.Request, p *account.Place) error {
	if p.Role == account.Owner {
		p.Site, p.Role = "", account.Instructor
		return nil
	}
	of, found, err := o.find(r.Context(), p.Site)
	if err == nil && (!found || of.Closed) {
		err = phrase.Wrong("invite-site")
	}
	if err != nil {
		return err
	}
	at, err := o.server(r.Context(), of.Name)
	if err != nil {
		return err
	}
	return at.server.maySignIn(r.Context(), *p)
}

// uninviteFrom takes a place back, and signs its person out there.
func (o *Organisation) uninviteFrom(w http.ResponseWriter, r *http.Request, _ account.Session) error {
	id, err := strconv.ParseInt(r.PostFormValue("id"), 10, 64)
	if err != nil {
		return problem(http.StatusBadRequest, "trouble", "bad-form")
	}
	if r.PostFormValue("sure") == "" {
		return o.sureOf(w, r, r.PostFormValue("who"), "/organisation/accounts/remove", "/organisation",
			[2]string{"id", r.PostFormValue("id")}, [2]string{"site", r.PostFormValue("site")}, [2]string{"role", r.PostFormValue("role")})
	}
	p, found, err := o.Accounts.Uninvite(r.Context(), id, r.PostFormValue("site"), account.Role(r.PostFormValue("role")))
	if err == nil && !found {
		return errNotFound
	}
	accounts := o.Accounts
	if err == nil && p.Site != "" {
		var at *opened
		if at, err = o.server(r.Context(), p.Site); err == nil {
			accounts = at.server.Accounts
		}
	}
	if err == nil {
		err = accounts.End(r.Context(), p.Role, p.Who)
	}
	if err != nil {
		return o.refusedPasscode(w, r, err)
	}
	return redirect(w, r, "/organisation")
}
