package serve

import (
	"archive/zip"
	"fmt"
	"net/http"
	"net/url"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"netagauge/internal/core/fatal"
	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/keep/account"
	"netagauge/internal/keep/book"
	"netagauge/internal/keep/intake"
	"netagauge/internal/keep/organisation"
	"netagauge/internal/keep/postgrestest"
	"netagauge/internal/serve/openid"
	"netagauge/internal/serve/openid/openidtest"
)

var madeCode = regexp.MustCompile(`[a-z2-9]{4}-[a-z2-9]{4}-[a-z2-9]{4}`)

// The owner adds a site and makes the passcode by which its first instructor comes in;
// closing it puts everybody out, and opening it lets them in again.
func TestOwnerSetsUpASite(t *testing.T) {
	g := newGroup(t)
	v := g.owner()
	v.post("/organisation/sites", url.Values{"name": {"Nara 1"}, "title-en": {"Nara"}}).must(g.site, http.StatusUnprocessableEntity, "is no short name")
	v.post("/organisation/sites", url.Values{"name": {"nara"}}).must(g.site, http.StatusUnprocessableEntity, "needs a name")
	v.post("/organisation/sites", url.Values{"name": {"kyoto"}, "title-en": {"Kyoto"}}).must(g.site, http.StatusUnprocessableEntity, "here is a site kyoto already")
	v.made("/organisation/sites", url.Values{"name": {"nara"}, "title-en": {"Nara Campus"}, "title-ja": {"奈良校"}}).must(g.site, http.StatusOK, "Nara Campus", "/at/nara", "奈良校")
	page := v.made("/sites/nara/passcode", url.Values{"name": {"Mori"}})
	page.must(g.site, http.StatusOK, "Mori")
	code := madeCode.FindString(page.body)
	first := g.visitor()
	first.get("/at/nara")
	first.get("/").must(g.site, http.StatusOK, "Nara Campus")
	first.made("/signin", url.Values{"name": {"Mori"}, "passcode": {code}}).must(g.site, http.StatusOK, "Nara Campus")
	first.openMonday()
	v.made("/sites/nara/name", url.Values{"title-en": {"Nara North"}}).must(g.site, http.StatusOK, "Nara North")
	v.made("/sites/nara/closed", url.Values{"closed": {"yes"}}).must(g.site, http.StatusOK, "This site is closed")
	first.get("/class").must(g.site, http.StatusNotFound, "This site is closed")
	v.get("/sites").lacks(g.site, "Nara")
	g.visitor().get("/").lacks(g.site, "Nara")
	v.made("/sites/nara/closed", nil).must(g.site, http.StatusOK, "Close this site")
	first.get("/class").must(g.site, http.StatusOK, "Monday")

	made := v.made("/organisation/owners", url.Values{"name": {"Second"}})
	made.must(g.site, http.StatusOK, "Second")
	second := g.visitor()
	second.made("/signin", url.Values{"name": {"Second"}, "passcode": {madeCode.FindString(made.body)}}).must(g.site, http.StatusOK, "Sites")
	second.post("/organisation/owners/remove", url.Values{"id": {"1"}}).must(g.site, http.StatusOK, "signed out everywhere", `name="sure"`)
	v.get("/sites").must(g.site, http.StatusOK) // who was only asked about
	sure := func(id string) url.Values { return url.Values{"id": {id}, "sure": {"yes"}} }
	gone := second.made("/organisation/owners/remove", sure("1"))
	gone.must(g.site, http.StatusOK, "Owner is removed")
	v.get("/sites").must(g.site, http.StatusUnauthorized)
	second.post("/organisation/owners/remove", sure("2")).must(g.site, http.StatusUnprocessableEntity, "last owner")
	back := regexp.MustCompile(`owners/back"><button class="plain" name="id" value="([A-Z0-9]+)"`).FindStringSubmatch(gone.body)
	if back == nil {
		t.Fatalf("it cannot be undone:\n%s", gone.body)
	}
	second.made("/organisation/owners/back", url.Values{"id": {back[1]}}).must(g.site, http.StatusOK, "Remove Owner")
	second.post("/organisation/owners/back", url.Values{"id": {back[1]}}).must(g.site, http.StatusUnprocessableEntity, "has a passcode already")
}

// The organisation's pages are its owners' alone, and at a site an owner only looks.
func TestWhoOwns(t *testing.T) {
	g := newGroup(t)
	v, there := g.owner(), g.teacher("kyoto", account.Instructor)
	there.openMonday()
	shot := g.sites["kyoto"].trainee("Bo of kyoto").sendTray("/tray")
	g.sites["kyoto"].measure(madeUp)
	others := map[string]*visitor{"instructor": there, "trainee": g.sites["kyoto"].trainee("Aoi Test"), "stranger": g.visitor(), "original": g.teacher("main", account.Instructor)}
	for _, path := range []string{"/sites", "/sites/kyoto", "/sites/kyoto/look", "/organisation"} {
		for who, o := range others {
			if got := o.get(path); got.status != http.StatusUnauthorized && got.status != http.StatusNotFound {
				t.Errorf("%s gets %s: %d", who, path, got.status)
			}
		}
		if got := v.get(path); got.status != http.StatusOK && got.status != http.StatusSeeOther {
			t.Errorf("the owner gets %s: %d", path, got.status)
		}
	}
	for _, path := range []string{"/sites/kyoto/name", "/sites/kyoto/closed", "/sites/kyoto/passcode", "/sites/kyoto/move", "/organisation/sites", "/organisation/owners", "/organisation/owners/remove", "/organisation/owners/back", "/organisation/accounts", "/organisation/accounts/remove"} {
		for who, o := range others {
			if got := o.post(path, url.Values{"name": {"x"}, "id": {"1"}, "closed": {"yes"}}); got.status != http.StatusUnauthorized && got.status != http.StatusNotFound {
				t.Errorf("%s posts to %s: %d", who, path, got.status)
			}
		}
	}
	if all, err := g.kept.Sites(t.Context()); err != nil || len(all) != 3 || all[0].Closed || all[1].Closed {
		t.Errorf("%+v, %v", all, err)
	}
	v.made("/sites/kyoto/look?to=class", nil)
	v.get("/sites/kyoto/look?to=class").must(g.site, http.StatusSeeOther)
	v.get("/class").must(g.site, http.StatusOK, "You are looking at Kyoto Campus", "Bo of kyoto")
	v.get(shot).must(g.site, http.StatusOK, "You are looking at")
	v.get("/line").must(g.site, http.StatusOK)
	for _, path := range []string{"/people", "/roster", "/files/book.json", "/exams", "/mat"} {
		if got := v.get(path); got.status != http.StatusNotFound {
			t.Errorf("the owner looks at %s: %d", path, got.status)
		}
	}
	for _, path := range []string{"/class", "/line/remark", shot + "/override", shot + "/again"} {
		v.post(path, url.Values{"piece": {"2"}, "kind": {"said-good"}, "reason": {"x"}}).must(g.site, http.StatusForbidden, "changes nothing at a site")
	}
	v.get("/sites/osaka/look").must(g.site, http.StatusSeeOther)
	v.get(shot).must(g.site, http.StatusNotFound)
	v.made("/signout", nil) // at the doors again, and at no site
	v.get("/").must(g.site, http.StatusOK, "/at/osaka")
	v.get("/class").must(g.site, http.StatusNotFound)
}

// A day at every site: what drifts comes first, then the smallest share.
func TestOverview(t *testing.T) {
	t.Run("folders", func(t *testing.T) { overviews(t, newGroup(t)) })
	t.Run("PostgreSQL", func(t *testing.T) { overviews(t, groupOn(t, schemasOf(t, serverOf(t, postgrestest.Own(t))))) })
}

func overviews(t *testing.T, g *group) {
	v := g.owner()
	v.get("/sites").must(g.site, http.StatusOK, "No tray was measured on this day", "Osaka Campus")
	kyoto, osaka := g.sites["kyoto"], g.sites["osaka"]
	chef := g.teacher("kyoto", account.Chef)
	for range 3 {
		chef.sendTray("/line")
		kyoto.measure(madeUp)
	}
	teacher := g.teacher("osaka", account.Instructor)
	teacher.post("/class", url.Values{"class": {"Today"}, "day": {time.Now().Format(time.DateOnly)}, "species": {"salmon"}}).must(osaka, http.StatusSeeOther)
	shot := osaka.trainee("Bo of osaka").sendTray("/tray")
	osaka.measure(madeUp)
	page := v.get("/sites")
	page.must(g.site, http.StatusOK, "4 trays, 8 slices", "3 trays, 6 slices", "4 of 8 as the house asks: 50 %", "1 of 2 as the house asks: 50 % (1 to 99 %)", "Length 85.0\u00a0mm, aim 80.0\u00a0mm")
	teacher.post(shot+"/override", url.Values{"piece": {"2"}, "kind": {"said-good"}, "reason": {"thick enough"}}).must(osaka, http.StatusSeeOther)
	v.get("/sites").must(g.site, http.StatusOK, "2 of 2 as the house asks: 100 %")
	yesterday := time.Now().AddDate(0, 0, -1).Format(time.DateOnly)
	v.get("/sites?day="+yesterday).must(g.site, http.StatusOK, "No tray was measured on this day", "/sites?day="+time.Now().Format(time.DateOnly))

	of := func(middle float64) func(intake.Shot) piece.Tray {
		return func(x intake.Shot) piece.Tray {
			r := madeUp(x)
			r.Pieces[0].Length.X, r.Pieces[1].Length.X = middle-0.2, middle+0.2
			return r
		}
	}
	osakaChef := g.teacher("osaka", account.Chef)
	for _, middle := range []float64{80, 80.1, 79.9, 80, 80.1, 79.9, 80, 80.1, 79.9, 83} {
		osakaChef.sendTray("/line")
		osaka.measure(of(middle))
	}
	body := v.get("/sites").body
	if !strings.Contains(body, "The line drifts: Length") {
		t.Errorf("no drift is told:\n%s", body)
	}
	if strings.Index(body, "Osaka Campus") > strings.Index(body, "Kyoto Campus") {
		t.Error("what drifts does not come first")
	}
	osakaChef.get("/line").must(osaka, http.StatusOK)
	v.get("/sites/osaka/look?to=line").must(g.site, http.StatusSeeOther)
	check := regexp.MustCompile(`<option value="(\d+)"`).FindStringSubmatch(osakaChef.get("/line").body)
	if check == nil {
		t.Fatal("the line asks for no remark")
	}
	osakaChef.post("/line/remark", url.Values{"check": {check[1]}, "remark": {"new knife"}}).must(osaka, http.StatusSeeOther)
	v.get("/sites").lacks(g.site, "The line drifts")
}

// A site has the organisation's standard until it keeps its own, and goes back by one
// tap, which is undone as any other.
func TestInheritedStandard(t *testing.T) {
	g := newGroup(t)
	v, there, other := g.owner(), g.teacher("kyoto", account.Instructor), g.teacher("osaka", account.Instructor)
	there.openMonday()
	there.get("/standard").must(g.site, http.StatusOK, "the organisation&#39;s standard")
	fields := func(s *Server, high string) url.Values {
		house, err := s.house(t.Context())
		fatal.If(t, err)
		out := url.Values{"name": {house.Name}}
		for _, b := range houseBands {
			l := b.of(&house)
			out.Set(b.id+"-low", trimmed(l.Low))
			out.Set(b.id+"-aim", trimmed(l.Aim))
			out.Set(b.id+"-high", trimmed(l.High))
		}
		out.Set("length-high", high)
		return out
	}
	change := func(v *visitor, s *Server, high string) {
		t.Helper()
		was, err := s.text(t.Context(), "standard.toml")
		fatal.If(t, err)
		form := fields(s, high)
		form.Set("was", book.Hash([]byte(was)))
		got := v.post("/standard", form)
		_, try, _ := strings.Cut(got.header.Get("Location"), "try=")
		v.made("/standard/keep", url.Values{"try": {try}}).must(g.site, http.StatusOK)
	}
	highs := func(want ...float64) {
		t.Helper()
		for i, name := range []string{"kyoto", "osaka"} {
			s := g.sites[name].server
			house, err := s.house(t.Context())
			line, lerr := s.Folder.Session(t.Context(), intake.Line, "lunch")
			if err != nil || lerr != nil || house.Length.High != want[i] || line.Ticket.Standard.Length.High != want[i] {
				t.Errorf("%s: lengths up to %g, its line up to %g (%v, %v), want %g", name, house.Length.High, line.Ticket.Standard.Length.High, err, lerr, want[i])
			}
		}
	}
	change(v, g.o.Server, "88")
	highs(88, 88)
	if open, _, err := g.sites["kyoto"].server.openedClass(t.Context()); err != nil || open.Ticket.Standard.Length.High != 88 {
		t.Errorf("the open class is held against %g, %v", open.Ticket.Standard.Length.High, err)
	}
	change(there, g.sites["kyoto"].server, "91")
	highs(91, 88)
	there.get("/standard").must(g.site, http.StatusOK, "keeps a standard of its own", "75\u00a0– 80\u00a0– 91 here, 75\u00a0– 80\u00a0– 88 in the organisation", "/standard/inherit")
	change(v, g.o.Server, "86")
	highs(91, 86)
	was := func(s *Server) url.Values {
		text, err := s.text(t.Context(), "standard.toml")
		fatal.If(t, err)
		return url.Values{"was": {book.Hash([]byte(text))}}
	}
	kyoto := g.sites["kyoto"].server
	there.made("/standard/inherit", was(kyoto)).must(g.site, http.StatusOK, "the organisation&#39;s standard")
	highs(86, 86)
	there.made("/standard/undo", was(kyoto)).must(g.site, http.StatusOK, "keeps a standard of its own")
	highs(91, 86)
	there.made("/standard/undo", was(kyoto)).must(g.site, http.StatusOK, "the organisation&#39;s standard")
	highs(86, 86)
	other.post("/standard/inherit", nil).must(g.site, http.StatusNotFound)
	v.made("/standard/undo", was(g.o.Server)).must(g.site, http.StatusOK)
	highs(88, 88)
}

// Who changes site goes on there with the grades from before; the old site keeps its
// record, and lets them in no more.
func TestMove(t *testing.T) {
	t.Run("folders", func(t *testing.T) { moves(t, newGroup(t)) })
	t.Run("PostgreSQL", func(t *testing.T) { moves(t, groupOn(t, schemasOf(t, serverOf(t, postgrestest.Own(t))))) })
}

func moves(t *testing.T, g *group) {
	v, kyoto, osaka := g.owner(), g.sites["kyoto"], g.sites["osaka"]
	g.teacher("kyoto", account.Instructor).openMonday()
	bo := kyoto.trainee("Bo of kyoto")
	shot := bo.sendTray("/tray")
	kyoto.measure(madeUp)
	fatal.If(t, g.o.Accounts.Invite(t.Context(), "bo@school.example", "", account.Place{Site: "kyoto", Role: account.Trainee, Who: "Bo of kyoto"}))
	for name, form := range map[string]url.Values{"to the same site": {"who": {"Bo of kyoto"}, "to": {"kyoto"}}, "to nowhere": {"who": {"Bo of kyoto"}, "to": {"nara"}}, "of nobody": {"who": {"Nobody"}, "to": {"osaka"}}, "onto a namesake": {"who": {"Aoi Test"}, "to": {"osaka"}}} {
		if got := v.post("/sites/kyoto/move", form); got.status != http.StatusUnprocessableEntity {
			t.Errorf("a move %s: %d", name, got.status)
		}
	}
	v.made("/sites/kyoto/move", url.Values{"who": {"Bo of kyoto"}, "to": {"osaka"}}).must(g.site, http.StatusOK)
	bo.get("/tray").must(g.site, http.StatusUnauthorized)
	for _, of := range []struct {
		s    *site
		want bool
	}{{kyoto, false}, {osaka, true}} {
		roster, err := of.s.server.readRoster(t.Context())
		if got := strings.Contains(fmt.Sprint(roster.Names()), "Bo of kyoto"); err != nil || got != of.want {
			t.Errorf("on the roster of %s: %v, %v", of.s.server.Site, got, err)
		}
	}
	people, err := g.o.Accounts.PeopleAt(t.Context(), "osaka")
	if err != nil || len(people) != 1 {
		t.Errorf("by a provider at osaka: %+v, %v", people, err)
	}
	now := osaka.trainee("Bo of kyoto")
	now.get("/past").must(g.site, http.StatusOK, "Before, at Kyoto Campus", "Monday")
	now.get(shot).must(g.site, http.StatusNotFound)
	g.teacher("osaka", account.Instructor).get("/class/hand?name=Bo+of+kyoto").must(g.site, http.StatusOK, "Before, at Kyoto Campus")
	osaka.trainee("Aoi Test").get("/past").lacks(g.site, "Before, at")
	all := now.get("/past/everything.zip")
	z, err := zip.NewReader(strings.NewReader(all.body), int64(len(all.body)))
	fatal.If(t, err)
	names := map[string]bool{}
	for _, f := range z.File {
		names[f.Name] = true
	}
	for _, want := range []string{"trays.csv", "kyoto/trays.csv", "kyoto/results/0001.json", "kyoto/photos/0001.jpg"} {
		if !names[want] {
			t.Errorf("the ZIP lacks %s: %v", want, names)
		}
	}
	if shots, err := kyoto.folder.List(t.Context(), intake.Filter{Owner: "trainee/Bo of kyoto"}); err != nil || len(shots) != 1 {
		t.Errorf("kyoto keeps %d trays, %v", len(shots), err)
	}
	// Who is deleted at osaka leaves nothing beside the sites, either: no address, and no
	// way for a namesake to come by what is kept at kyoto.
	if got := g.teacher("osaka", account.Instructor).post("/people/forget", url.Values{"name": {"Bo of kyoto"}}); got.status != http.StatusSeeOther {
		t.Error(got.status, got.body)
	}
	people, err = g.o.Accounts.People(t.Context())
	path, pathErr := g.kept.Path(t.Context(), "osaka", "Bo of kyoto")
	if err != nil || pathErr != nil || len(people)+len(path) != 0 {
		t.Errorf("of who was deleted there is %+v (%v), %+v (%v)", people, err, path, pathErr)
	}
}

// A move that stopped half way goes on when it is said again; of one that was refused
// nothing is left.
func TestStoppedMoveGoesOn(t *testing.T) {
	g := newGroup(t)
	v, kyoto, osaka := g.owner(), g.sites["kyoto"].server, g.sites["osaka"].server
	v.post("/sites/kyoto/move", url.Values{"who": {"Aoi Test"}, "to": {"osaka"}}).must(g.site, http.StatusUnprocessableEntity, "on the roster there already")
	if begun, err := g.kept.Begun(t.Context(), organisation.Move{FromSite: "kyoto", FromWho: "Aoi Test", ToSite: "osaka", ToWho: "Aoi Test"}); err != nil || begun {
		t.Errorf("the move onto a namesake is begun: %v, %v", begun, err)
	}
	move := organisation.Move{FromSite: "kyoto", FromWho: "Bo of kyoto", ToSite: "osaka", ToWho: "Bo of kyoto"}
	for _, stopped := range []func(){func() {}, func() { fatal.If(t, kyoto.strike(t.Context(), "Bo of kyoto")) }} {
		fatal.If(t, g.kept.Begin(t.Context(), move))
		_, err := osaka.enrol(t.Context(), "Bo of kyoto", false)
		fatal.If(t, err)
		stopped()
		v.made("/sites/kyoto/move", url.Values{"who": {"Bo of kyoto"}, "to": {"osaka"}}).must(g.site, http.StatusOK)
		was, err := kyoto.readRoster(t.Context())
		fatal.If(t, err)
		now, err := osaka.readRoster(t.Context())
		if err != nil || slices.Contains(was.Names(), "Bo of kyoto") || !slices.Contains(now.Names(), "Bo of kyoto") {
			t.Errorf("%v at kyoto, %v at osaka: %v", was.Names(), now.Names(), err)
		}
		if path, err := g.kept.Path(t.Context(), "osaka", "Bo of kyoto"); err != nil || len(path) != 1 {
			t.Errorf("%+v, %v", path, err)
		}
		fatal.If(t, g.kept.Forget(t.Context(), "osaka", "Bo of kyoto")) // back to where it began
		fatal.If(t, osaka.strike(t.Context(), "Bo of kyoto"))
		_, err = kyoto.enrol(t.Context(), "Bo of kyoto", false)
		fatal.If(t, err)
	}
}

// Who was invited at several sites, or as an owner, picks one.
func TestProviderAcrossSites(t *testing.T) {
	g := newGroup(t)
	op := openidtest.New(t)
	g.o.Openid = openid.New(openid.Options{Issuer: op.URL, Client: openidtest.Client, Secret: openidtest.Secret})
	for _, s := range g.sites {
		s.server.Openid = g.o.Openid
	}
	v := g.owner()
	for _, form := range []url.Values{{"known": {"m@school.example"}, "name": {"Mori"}, "role": {"instructor"}, "site": {"kyoto"}}, {"known": {"m@school.example"}, "name": {"Mori"}, "role": {"owner"}, "site": {"osaka"}}} {
		v.made("/organisation/accounts", form).must(g.site, http.StatusOK, "m@school.example")
	}
	v.post("/organisation/accounts", url.Values{"known": {"x@school.example"}, "name": {"X"}, "role": {"chef"}, "site": {"nara"}}).must(g.site, http.StatusUnprocessableEntity)
	g.teacher("osaka", account.Instructor).made("/people/accounts", url.Values{"known": {"m@school.example"}, "name": {"Aoi Test"}, "role": {"trainee"}}).must(g.site, http.StatusOK, "m@school.example")
	g.teacher("kyoto", account.Instructor).get("/people").lacks(g.site, "Aoi Test</bdi>, trainee")
	op.Says(map[string]any{"sub": "1", "email": "m@school.example", "email_verified": true})
	for to, home := range map[string]string{"kyoto%2finstructor": "/class", "%2finstructor": "/sites", "osaka%2ftrainee": "/tray"} {
		x := g.visitor()
		x.byProvider("/openid").must(g.site, http.StatusOK, "Kyoto Campus: instructor", "Osaka Campus: trainee", "owner")
		if got := x.byProvider("/openid?to=" + to); got.header.Get("Location") != home {
			t.Errorf("to %s: %d %s", to, got.status, got.header.Get("Location"))
		}
		if home == "/tray" {
			x.consenting()
		}
		x.get(home).must(g.site, http.StatusOK)
	}
	x := g.visitor()
	x.byProvider("/openid?to=kyoto%2finstructor")
	v.post("/organisation/accounts/remove", url.Values{"id": {"1"}, "site": {"kyoto"}, "role": {"instructor"}, "sure": {"yes"}}).must(g.site, http.StatusSeeOther)
	x.get("/class").must(g.site, http.StatusUnauthorized)
}

// The owner's pages in every language are sound, as all pages are.
func TestOwnersPages(t *testing.T) {
	g := newGroup(t)
	v := g.owner()
	g.o.Openid = openid.New(openid.Options{Issuer: "http://127.0.0.1:1", Client: "x"})
	g.teacher("kyoto", account.Chef).sendTray("/line")
	g.sites["kyoto"].measure(madeUp)
	for _, l := range phrase.Languages() {
		v.header = http.Header{"Accept-Language": {l.Tag()}}
		for _, path := range []string{"/sites", "/sites/kyoto", "/organisation", "/standard"} {
			checkMarkup(t, path, l, v.get(path).body)
		}
		stranger := g.visitor()
		stranger.header = v.header
		checkMarkup(t, "/", l, stranger.get("/").body)
		stranger.get("/at/kyoto")
		checkMarkup(t, "kyoto's door", l, stranger.get("/").body)
	}
}
