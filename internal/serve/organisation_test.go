package serve

import (
	"context"
	"fmt"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"netagauge/internal/core/fatal"
	"netagauge/internal/judge/standard"
	"netagauge/internal/keep/account"
	"netagauge/internal/keep/database"
	"netagauge/internal/keep/intake"
	"netagauge/internal/keep/organisation"
	photostore "netagauge/internal/keep/photos"
	"netagauge/internal/keep/postgrestest"
	"netagauge/internal/keep/settings"
)

// group is an organisation of three sites on a port of its own: main was there before
// it, kyoto and osaka were added. Each is a folder here, and a schema of PostgreSQL
// elsewhere.
type group struct {
	*site // main's, whose url is that of all
	o     *Organisation
	kept  *organisation.Organisation
	sites map[string]*site
}

func newGroup(t *testing.T) *group { return groupOn(t, foldersIn(t, t.TempDir())) }

// records says where an organisation and its sites lie.
type records struct {
	organisation func() (*organisation.Organisation, *account.Accounts, settings.Texts)
	site         func(name string) (*intake.Folder, *account.Accounts, settings.Texts, error)
}

// foldersIn has a folder for each site.
func foldersIn(t *testing.T, dir string) records {
	return records{func() (*organisation.Organisation, *account.Accounts, settings.Texts) {
		kept, err := organisation.Open(t.Context(), database.File(filepath.Join(dir, "organisation.sqlite")))
		fatal.If(t, err)
		return kept, accountsIn(t, filepath.Join(dir, "owners.sqlite")), settings.InFolder(dir)
	}, func(name string) (*intake.Folder, *account.Accounts, settings.Texts, error) {
		at := filepath.Join(dir, name)
		folder, err := intake.Open(t.Context(), at, "test")
		if err != nil {
			return nil, nil, nil, err
		}
		return folder, accountsIn(t, filepath.Join(at, "accounts.sqlite")), settings.InFolder(at), nil
	}}
}

func serverOf(t *testing.T, at *postgrestest.Server) *database.Server {
	t.Helper()
	server, err := database.Connect(t.Context(), at.URL())
	fatal.If(t, err)
	t.Cleanup(server.Close)
	return server
}

// schemasOf has a schema of one PostgreSQL server for each site, as the program has.
func schemasOf(t *testing.T, server *database.Server) records {
	photos := t.TempDir()
	accounts := func(at database.Place) *account.Accounts {
		a, err := account.OpenAt(t.Context(), at)
		fatal.If(t, err)
		t.Cleanup(func() { a.Close() })
		return a
	}
	texts := func(at database.Place) settings.Texts {
		kept, err := settings.OpenAt(t.Context(), at)
		fatal.If(t, err)
		t.Cleanup(func() { kept.Close() })
		return kept
	}
	return records{func() (*organisation.Organisation, *account.Accounts, settings.Texts) {
		at := server.Schema("organisation")
		kept, err := organisation.Open(t.Context(), at)
		fatal.If(t, err)
		return kept, accounts(at), texts(at)
	}, func(name string) (*intake.Folder, *account.Accounts, settings.Texts, error) {
		at, dir := server.Schema("site_"+name), filepath.Join(photos, name)
		if err := os.MkdirAll(dir, 0o700); err != nil {
			return nil, nil, nil, err
		}
		store, err := photostore.InFolder(filepath.Join(dir, "photos"), filepath.Join(dir, "aside"))
		if err != nil {
			return nil, nil, nil, err
		}
		folder, err := intake.OpenShared(t.Context(), intake.Shared{At: at, Photos: store, Tmp: dir}, "test")
		if err != nil {
			return nil, nil, nil, err
		}
		return folder, accounts(at), texts(at), nil
	}}
}

func groupOn(t *testing.T, at records) *group {
	t.Helper()
	g := organised(t, at, "lunch", []organisation.Site{{Name: "main", Original: true, Titles: map[string]string{"en": "Main Street"}},
		{Name: "kyoto", Titles: map[string]string{"en": "Kyoto Campus", "ja": "京都校"}}, {Name: "osaka", Titles: map[string]string{"en": "Osaka Campus"}}})
	for name, s := range g.sites {
		fatal.If(t, s.server.Settings.Keep(t.Context(), settings.Roster, "label,name\nTray 01,Aoi Test\nTray 02,Bo of "+name+"\nTray 03,Cho of "+name+"\n"))
	}
	return g
}

// organised are sites, the first that which was there before, each with a line of that name.
func organised(t *testing.T, at records, line string, all []organisation.Site) *group {
	t.Helper()
	ctx, stop := context.WithCancel(context.Background())
	t.Cleanup(stop)
	kept, owners, texts := at.organisation()
	t.Cleanup(func() { kept.Close() })
	before, err := kept.Sites(ctx)
	fatal.If(t, err)
	for _, s := range all[len(before):] {
		fatal.If(t, kept.Add(ctx, s))
	}
	said := &strings.Builder{}
	g := &group{kept: kept, sites: map[string]*site{}}
	g.o = NewOrganisation(ctx, Sites{Kept: kept, Options: Options{Accounts: owners, Settings: texts, Log: slog.New(slog.NewTextHandler(said, &slog.HandlerOptions{Level: slog.LevelWarn})), Base: "http://192.0.2.7:8080", Standard: standard.Default()},
		Open: func(ctx context.Context, name string) (Options, error) {
			folder, accounts, texts, err := at.site(name)
			if err != nil {
				return Options{}, err
			}
			t.Cleanup(func() { folder.Close() })
			return Options{Folder: folder, Settings: texts, Accounts: accounts, Line: line, Single: &stand{}}, nil
		}})
	web := httptest.NewServer(g.o.Handler())
	t.Cleanup(web.Close)
	for _, s := range all {
		of, err := g.o.server(ctx, s.Name)
		fatal.If(t, err)
		g.sites[s.Name] = &site{t, of.server, of.server.Folder, of.server.Accounts, web.URL, said, of.server.Single.(*stand), ""}
	}
	g.site = g.sites[all[0].Name]
	t.Cleanup(func() {
		if said.Len() > 0 {
			t.Errorf("the server logged trouble: %s", said)
		}
	})
	return g
}

func accountsIn(t *testing.T, path string) *account.Accounts {
	t.Helper()
	a, err := account.Open(context.Background(), path)
	fatal.If(t, err)
	t.Cleanup(func() { a.Close() })
	return a
}

// owner signs in as one.
func (g *group) owner() *visitor {
	g.Helper()
	code, err := g.o.Accounts.AddPasscode(context.Background(), account.Instructor, "Owner")
	fatal.If(g, err)
	v := g.visitor()
	if got := v.post("/signin", url.Values{"name": {"Owner"}, "passcode": {code}}); got.header.Get("Location") != "/sites" {
		g.Fatalf("the owner comes in: %d\n%s", got.status, got.body)
	}
	return v
}

// teacher is let in at a site, which is chosen first.
func (g *group) teacher(at string, role account.Role) *visitor {
	g.Helper()
	s := g.sites[at]
	v := s.admitted(role, string(role))
	v.get("/at/"+at).must(s, http.StatusSeeOther)
	return v
}

// One browser, one address: the link or the cookie says which site.
func TestSitesByLinkAndCookie(t *testing.T) {
	g := newGroup(t)
	g.visitor().get("/").must(g.site, http.StatusOK, "Kyoto Campus", "Main Street", "/at/osaka")
	ja := g.visitor()
	ja.header = http.Header{"Accept-Language": {"ja"}}
	ja.get("/").must(g.site, http.StatusOK, "京都校", "Osaka Campus")
	for _, name := range []string{"main", "kyoto", "osaka"} {
		s := g.sites[name]
		v := s.trainee("Bo of " + name)
		v.get("/tray").must(s, http.StatusOK, "Bo of "+name)
		v = s.visitor()
		v.get("/at/"+name).must(s, http.StatusSeeOther)
		v.get("/").must(s, http.StatusOK, s.server.host.called(g.o.Languages[0], name), "/elsewhere")
		code, err := s.accounts.ClassCode(t.Context())
		fatal.If(t, err)
		v.post("/join", url.Values{"code": {code}}).must(s, http.StatusOK, "Bo of "+name)
		for _, other := range []string{"main", "kyoto", "osaka"} {
			if other != name {
				w := g.visitor()
				w.get("/at/" + other)
				w.post("/join", url.Values{"code": {code}}).must(s, http.StatusForbidden)
			}
		}
	}
	link, err := g.sites["main"].accounts.NewLink(t.Context(), "Aoi Test")
	if err != nil || strings.Contains(link, ".") {
		t.Errorf("the original site's links are as they were: %q, %v", link, err)
	}
	for _, path := range []string{"/at/nowhere", "/t/nowhere.secret", "/t/.secret", "/tray"} {
		if got := g.visitor().get(path); got.status != http.StatusNotFound {
			t.Errorf("%s: %d", path, got.status)
		}
	}
	lost := g.visitor()
	lost.header = http.Header{"Cookie": {"site=gone; netagauge=gone.x"}}
	lost.get("/").must(g.site, http.StatusOK, "/at/kyoto")
}

// A link of one site does not take over a browser that somebody uses at another.
func TestLinkOfAnotherSiteAsks(t *testing.T) {
	g := newGroup(t)
	v := g.teacher("osaka", account.Instructor)
	link, err := g.sites["kyoto"].accounts.NewLink(t.Context(), "Aoi Test")
	fatal.If(t, err)
	v.get("/t/"+link).must(g.site, http.StatusOK, "Aoi Test", "instructor")
	v.get("/class").must(g.site, http.StatusOK)
	v.post("/t/"+link, nil).must(g.site, http.StatusSeeOther)
	v.consenting().get("/past").must(g.site, http.StatusOK, "Kyoto Campus")
	v.get("/class").must(g.site, http.StatusNotFound)
}

// allRoutes are those of a site's server, as its source has them.
func allRoutes(t *testing.T) (out [][2]string) {
	files, err := filepath.Glob("*.go")
	fatal.If(t, err)
	seen := map[[2]string]bool{}
	for _, file := range files {
		if strings.HasSuffix(file, "_test.go") || file == "owner.go" {
			continue
		}
		text, err := os.ReadFile(file)
		fatal.If(t, err)
		for _, m := range regexp.MustCompile(`m\.Handle(?:Func)?\("(GET|POST) (/[^"]*)"`).FindAllStringSubmatch(string(text), -1) {
			if r := [2]string{m[1], strings.TrimSuffix(m[2], "{$}")}; !seen[r] {
				seen[r], out = true, append(out, r)
			}
		}
	}
	if len(out) < 80 {
		t.Fatalf("%d routes were found", len(out))
	}
	return out
}

// Nobody sees or changes another site's: everybody of osaka asks every route for what
// kyoto has, and gets the same answer as for what is nowhere. Where a route has no hole,
// osaka's own page is all there is, and nothing on it is kyoto's.
func TestNobodySeesAnotherSite(t *testing.T) {
	t.Run("folders", func(t *testing.T) { nobodySees(t, newGroup(t)) })
	t.Run("PostgreSQL", func(t *testing.T) { nobodySees(t, groupOn(t, schemasOf(t, serverOf(t, postgrestest.Own(t))))) })
}

func nobodySees(t *testing.T, g *group) {
	kyoto, osaka := g.sites["kyoto"], g.sites["osaka"]
	there := g.teacher("kyoto", account.Instructor)
	there.post("/class", url.Values{"class": {"Secret class"}, "day": {"2026-11-25"}, "species": {"salmon"}}).must(kyoto, http.StatusSeeOther)
	shot := kyoto.trainee("Bo of kyoto").sendTray("/tray")
	check := g.teacher("kyoto", account.Chef).sendTray("/line")
	kyoto.measure(madeUp)
	for i := range 3 {
		there.post("/exams", url.Values{"name": {fmt.Sprint("Secret exam ", i)}, "trays": {"1"}, "slices": {"3"}, "minutes": {"20"}, "mark": {"80"}, "who": {"Bo of kyoto"}}).must(kyoto, http.StatusSeeOther)
		there.post("/shift", url.Values{"remark": {"Secret remark"}}).must(kyoto, http.StatusSeeOther)
	}
	there.get("/exams/3").must(kyoto, http.StatusOK, "Secret exam")
	link, err := kyoto.accounts.NewLink(t.Context(), "Aoi Test")
	fatal.If(t, err)
	g.teacher("osaka", account.Chef).get("/line").must(osaka, http.StatusOK)
	everybody := map[string]*visitor{"trainee": osaka.trainee("Bo of osaka"), "namesake": osaka.trainee("Aoi Test"), "stranger": osaka.visitor()}
	teacher := g.teacher("osaka", account.Instructor)
	everybody["instructor"] = teacher
	teacher.post("/class", url.Values{"class": {"Own class"}, "day": {"2026-11-25"}, "species": {"salmon"}}).must(osaka, http.StatusSeeOther)
	secrets := []string{shot[len("/shots/"):], check[len("/shots/"):], "Secret class", "Secret exam", "Secret remark", "Bo of kyoto", link}
	ids := map[string][2]string{"{id}": {shot[len("/shots/"):], strings.Repeat("0", 26)}, "{token}": {link, strings.Repeat("x", 43)}}
	for _, route := range allRoutes(t) {
		if route[1] == "/t/{token}" { // a link opens its own site, by its secret
			continue
		}
		theirs, nobodys := route[1], route[1]
		if strings.HasPrefix(theirs, "/exams/") || strings.HasPrefix(theirs, "/shift/") {
			theirs, nobodys = strings.ReplaceAll(theirs, "{id}", "3"), strings.ReplaceAll(nobodys, "{id}", "99")
		}
		for hole, is := range ids {
			theirs, nobodys = strings.ReplaceAll(theirs, hole, is[0]), strings.ReplaceAll(nobodys, hole, is[1])
		}
		rest := strings.NewReplacer("{number}", "1", "{place}", "1", "{chart}", "weight-mean.svg", "{name}", "class.pdf")
		theirs, nobodys = rest.Replace(theirs), rest.Replace(nobodys)
		for who, v := range everybody {
			if route[1] == "/signout" {
				continue
			}
			ask := func(path string) answer {
				if route[0] == "GET" {
					return v.get(path + "?class=Secret+class&name=Cho+of+kyoto&classes=0&all")
				}
				return v.post(path, url.Values{"name": {"Cho of kyoto"}, "class": {"Secret class"}, "piece": {"1"}, "kind": {"said-good"}, "reason": {"x"}, "id": {"1"}})
			}
			got := ask(theirs)
			if theirs != nobodys {
				if want := ask(nobodys); got.status != want.status {
					t.Errorf("%s asks %s %s: %d for kyoto's and %d for nobody's", who, route[0], route[1], got.status, want.status)
				}
			}
			for _, secret := range secrets {
				if body := strings.ReplaceAll(got.body, "back="+url.QueryEscape(theirs), ""); strings.Contains(strings.ReplaceAll(withoutPath(body), theirs, ""), secret) {
					t.Errorf("%s finds %q at %s %s", who, secret, route[0], route[1])
				}
			}
		}
	}
	if all, err := kyoto.folder.List(t.Context(), intake.Filter{}); err != nil || len(all) != 2 {
		t.Errorf("kyoto has %d trays, %v", len(all), err)
	}
	if said, err := kyoto.folder.Book().Overrides(t.Context(), mustShot(t, kyoto, shot).Hash); err != nil || len(said) != 0 {
		t.Errorf("somebody of osaka decided %v, %v", said, err)
	}
	there.get(shot).must(kyoto, http.StatusOK)
}

var backLink = regexp.MustCompile(`href="/language\?[^"]*"`)

// withoutPath leaves out the address that was asked for, which a page has to come back to.
func withoutPath(body string) string { return backLink.ReplaceAllString(body, "") }

func mustShot(t *testing.T, s *site, path string) intake.Shot {
	t.Helper()
	x, err := s.folder.Shot(t.Context(), path[len("/shots/"):])
	fatal.If(t, err)
	return x
}
