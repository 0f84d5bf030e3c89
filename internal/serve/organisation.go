package serve

import (
	"context"
	"net/http"
	"strings"
	"sync"
	"time"

	"netagauge/internal/keep/account"
	"netagauge/internal/keep/organisation"
)

// Sites are what the pages of an organisation are made from. Accounts are those of its
// owners, and of whoever was invited where; there is no Folder.
type Sites struct {
	Options
	Kept *organisation.Organisation
	// Open opens the record of a site: Folder and Accounts, and what else is its own.
	Open func(ctx context.Context, site string) (Options, error)
}

// Organisation is several sites behind one address. Each is a Server of its own, with
// its own record: the handler picks it by the site that is named in a link, in the
// cookie of who is signed in, or else in a cookie that only says where this browser is
// used. So no page, and no query behind one, can reach another site's rows.
type Organisation struct {
	*Server // the owners' pages
	kept    *organisation.Organisation
	open    func(ctx context.Context, site string) (Options, error)
	ctx     context.Context

	mu     sync.Mutex
	sites  map[string]*opened
	known  []organisation.Site
	readAt time.Time
}

// opened is a site's server once somebody asked for it.
type opened struct {
	mu      sync.Mutex
	server  *Server
	handler http.Handler
}

// NewOrganisation prepares the pages; a site is opened when somebody first asks for it,
// and goes on until ctx is done.
func NewOrganisation(ctx context.Context, of Sites) *Organisation {
	of.Accounts.Within("")
	o := &Organisation{Server: newServer(of.Options), kept: of.Kept, open: of.Open, ctx: ctx, sites: map[string]*opened{}}
	o.Server.host = o
	o.parse()
	return o
}

// siteCookie says where a browser is used before anybody is signed in, and which site
// an owner looks at.
const siteCookie = "site"

// ownPaths are those of the organisation's own pages, whoever asks.
var ownPaths = []string{"/static/", "/sw.js", "/healthz", "/readyz", "/language", "/install", "/at/", "/elsewhere", "/openid", "/sites", "/organisation"}

// lookedAt are those of a site that an owner may look at.
var lookedAt = []string{"/class", "/line", "/shots/", "/yield"}

func under(path string, all []string) bool {
	for _, p := range all {
		if path == p || strings.HasPrefix(path, strings.TrimSuffix(p, "/")+"/") {
			return true
		}
	}
	return false
}

// Handler is all sites and the organisation's own pages.
func (o *Organisation) Handler() http.Handler {
	own := o.guard(o.routes())
	return o.answering(func(w http.ResponseWriter, r *http.Request) error {
		name, owner := o.whose(r)
		token, link := strings.CutPrefix(r.URL.Path, "/t/")
		switch {
		case under(r.URL.Path, ownPaths):
		case link:
			named, _ := o.named(r.Context(), token)
			return o.follows(w, r, own, named)
		case owner && name != "" && under(r.URL.Path, lookedAt):
			return o.look(w, r, own, name)
		case !owner && name != "":
			return o.at(w, r, own, name)
		}
		own.ServeHTTP(w, r)
		return nil
	})
}

// HTTP is the server with its time limits.
func (o *Organisation) HTTP() *http.Server { return o.limited(o.Handler()) }

// whose tells which site a request is for, empty for none, and whether it comes from an
// owner who is signed in.
func (o *Organisation) whose(r *http.Request) (name string, owner bool) {
	if c, err := r.Cookie(sessionCookie(r)); err == nil && c.Value != "" {
		if name, owner = o.named(r.Context(), c.Value); !owner {
			return name, false
		}
	}
	if c, err := r.Cookie(siteCookie); err == nil {
		name = c.Value
	}
	return name, owner
}

// named is the site that a secret is of; a secret without one is the original site's.
func (o *Organisation) named(ctx context.Context, secret string) (name string, owner bool) {
	name, _, in := strings.Cut(secret, ".")
	if in {
		return name, name == ""
	}
	all, err := o.all(ctx)
	if err != nil {
		o.Log.ErrorContext(ctx, "read the sites", "err", err)
	}
	for _, s := range all {
		if s.Original {
			return s.Name, false
		}
	}
	return "", false
}

// at answers by a site's own server.
func (o *Organisation) at(w http.ResponseWriter, r *http.Request, own http.Handler, name string) error {
	of, found, err := o.find(r.Context(), name)
	switch {
	case err != nil:
		return err
	case !found: // such as a cookie of a site that is no more
		own.ServeHTTP(w, r)
		return nil
	case of.Closed:
		return problem(http.StatusNotFound, "site-closed", "site-closed-text")
	}
	s, err := o.server(r.Context(), of.Name)
	if err != nil {
		return err
	}
	s.handler.ServeHTTP(w, r)
	return nil
}

// follows opens a link of one site. Who is signed in at another one is asked first, as
// at the same one.
func (o *Organisation) follows(w http.ResponseWriter, r *http.Request, own http.Handler, name string) error {
	if before, owner := o.whose(r); owner || before != "" && before != name {
		if who, found := o.signedIn(r, before, owner); found {
			r = r.WithContext(context.WithValue(r.Context(), sessionKey{}, who))
		}
	}
	return o.at(w, r, own, name)
}

// signedIn is the session of a request at a site, or of an owner.
func (o *Organisation) signedIn(r *http.Request, name string, owner bool) (who account.Session, found bool) {
	s := o.Server
	if !owner {
		of, there, err := o.find(r.Context(), name)
		if err != nil || !there {
			return who, false
		}
		at, err := o.server(r.Context(), of.Name)
		if err != nil {
			return who, false
		}
		s = at.server
	}
	who, found, err := s.who(r)
	return who, found && err == nil
}

// look shows an owner a page of a site, and nothing else: what is there is decided by
// the people of the site.
func (o *Organisation) look(w http.ResponseWriter, r *http.Request, own http.Handler, name string) error {
	who, found, err := o.who(r)
	switch {
	case err != nil:
		return err
	case !found:
		own.ServeHTTP(w, r)
		return nil
	case r.Method != http.MethodGet && r.Method != http.MethodHead:
		return problem(http.StatusForbidden, "looking-only", "looking-only-text")
	}
	who.Role, who.Looking = account.Instructor, true
	return o.at(w, r.WithContext(context.WithValue(r.Context(), sessionKey{}, who)), own, name)
}

// fresh is how long the list of sites holds: another server may add one.
const fresh = time.Second

// all are the sites.
func (o *Organisation) all(ctx context.Context) ([]organisation.Site, error) {
	o.mu.Lock()
	defer o.mu.Unlock()
	if time.Since(o.readAt) < fresh {
		return o.known, nil
	}
	all, err := o.kept.Sites(ctx)
	if err == nil {
		o.known, o.readAt = all, time.Now()
	}
	return all, err
}

// changed has the list of sites read anew.
func (o *Organisation) changed() {
	o.mu.Lock()
	defer o.mu.Unlock()
	o.readAt = time.Time{}
}

// find is a site, also one that another server has added just now.
func (o *Organisation) find(ctx context.Context, name string) (of organisation.Site, found bool, err error) {
	for range 2 {
		all, err := o.all(ctx)
		for _, s := range all {
			if s.Name == name {
				return s, true, nil
			}
		}
		if err != nil {
			return of, false, err
		}
		o.changed()
	}
	return of, false, nil
}

// server is that of a site, which is opened where it is not yet.
func (o *Organisation) server(ctx context.Context, name string) (*opened, error) {
	of, found, err := o.find(ctx, name)
	switch {
	case err != nil:
		return nil, err
	case !found:
		return nil, errNotFound
	}
	o.mu.Lock()
	s := o.sites[name]
	if s == nil {
		s = &opened{}
		o.sites[name] = s
	}
	o.mu.Unlock()
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.server != nil {
		return s, nil
	}
	options, err := o.open(o.ctx, name)
	if err != nil {
		return nil, err
	}
	if !of.Original {
		options.Accounts.Within(name)
	}
	server, err := newSiteServer(o.ctx, o.sharing(options, name), o)
	if err != nil {
		return nil, err
	}
	s.server, s.handler = server, server.Handler()
	return s, nil
}

// sharing are a site's options with those that all sites have alike.
func (o *Organisation) sharing(of Options, name string) Options {
	own := o.Options
	of.Site, of.Log, of.Numbers, of.Base, of.Names, of.Strict, of.Authority = name, own.Log, own.Numbers.At(name), own.Base, own.Names, own.Strict, own.Authority
	of.Openid, of.Languages, of.Standard, of.Workers = own.Openid, own.Languages, own.Standard, own.Workers
	if of.Log != nil {
		of.Log = of.Log.With("site", name)
	}
	return of
}
