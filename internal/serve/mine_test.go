package serve

import (
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"netagauge/internal/core/fatal"
	"netagauge/internal/keep/intake"
	"netagauge/internal/keep/keeping"
	"netagauge/internal/keep/settings"
)

// asked is a trainee who said nothing yet.
func (s *site) asked(name string) *visitor {
	s.Helper()
	link, err := s.accounts.NewLink(s.Context(), name)
	fatal.If(s, err)
	v := s.visitor()
	if got := v.get("/t/" + link); got.status != http.StatusSeeOther {
		s.Fatal(got.status)
	}
	return v
}

func (s *site) keeps(r keeping.Rules) {
	s.Helper()
	text, err := r.TOML()
	if err == nil {
		err = s.server.Settings.Keep(s.Context(), settings.Keeping, text)
	}
	fatal.If(s, err)
}

// Who comes in first is asked once, before any page; what is said is kept with its
// time and its terms, and other terms are asked about anew.
func TestConsentIsAskedOnce(t *testing.T) {
	e := newEverybody(t)
	bo := e.asked(hostile)
	for _, path := range []string{"/tray", "/past", "/eye", "/hand", "/exam"} {
		if got := bo.get(path); got.status != http.StatusSeeOther || got.header.Get("Location") != "/mine" {
			t.Errorf("%s: %d to %s", path, got.status, got.header.Get("Location"))
		}
	}
	bo.get("/mine").must(e.site, http.StatusOK, "May your trays be kept", "Photos stay until")
	bo.post("/mine", url.Values{"name": {"perhaps"}}).must(e.site, http.StatusBadRequest)
	if got := bo.post("/mine", url.Values{"name": {"yes"}}); got.header.Get("Location") != "/tray" {
		t.Errorf("then to %s", got.header.Get("Location"))
	}
	bo.get("/tray").must(e.site, http.StatusOK)
	c, err := e.accounts.Consent(t.Context(), hostile)
	if err != nil || !c.Given || c.At.IsZero() || !strings.Contains(c.Terms, "words 2, photos 0 days") {
		t.Errorf("kept is %+v, %v", c, err)
	}
	e.asked(hostile).get("/tray").must(e.site, http.StatusOK) // on another phone
	e.keeps(keeping.Rules{PhotoDays: 30, PersonMonths: 24})
	bo = e.asked(hostile)
	if got := bo.get("/tray"); got.status != http.StatusSeeOther {
		t.Errorf("other dates of keeping were not asked about: %d", got.status)
	}
	bo.get("/mine").must(e.site, http.StatusOK, "30 days after", "24 months after")
}

// Without consent a tray is judged and seen on the phone that sent it, and nothing of
// it has the name: not the list, not the book, no guess; the phone's session ended,
// nobody sees it but who teaches.
func TestWithoutConsent(t *testing.T) {
	e := newEverybody(t)
	aoiBefore := e.aoiShot
	never, withdrew := e.asked(hostile), e.trainee("Bo Test") // a phone may send what it kept before it was asked
	withdrew.post("/mine", url.Values{"name": {"no"}}).must(e.site, http.StatusSeeOther)
	for name, v := range map[string]*visitor{hostile: never, "Bo Test": withdrew} {
		shot := v.sendTray("/tray")
		e.site.measure(madeUp)
		v.get(shot).must(e.site, http.StatusOK)
		v.get(shot+"/view").must(e.site, http.StatusOK)
		e.aoi.get(shot).must(e.site, http.StatusNotFound)
		e.teacher.get(shot).must(e.site, http.StatusOK)
		v.post("/eye", url.Values{"token": {"1"}, "card": {"b-1"}, "measure": {"length"}, "guess": {"77"}}).must(e.site, http.StatusSeeOther)
		x, err := e.folder.Shot(t.Context(), shot[len("/shots/"):])
		if err != nil || x.Who != "" || !strings.HasPrefix(x.Owner, "unnamed/") || strings.Contains(x.Owner, name) {
			t.Errorf("kept as %+v, %v", x, err)
		}
		run, _ := e.folder.Run(t.Context(), "Monday")
		entries, err := e.folder.Book().Entries(t.Context(), run.ID)
		for _, n := range entries {
			if n.Trainee == name {
				t.Error("the book has the name", err)
			}
		}
		if g, err := e.folder.Book().Guesses(t.Context(), name, time.Time{}, -1); err != nil || len(g) != 0 {
			t.Errorf("guesses under the name: %v, %v", g, err)
		}
		v.post("/signout", nil)
		e.trainee(name).get(shot).must(e.site, http.StatusNotFound)
	}
	e.aoi.get(aoiBefore).must(e.site, http.StatusOK)
	e.teacher.get("/class").must(e.site, http.StatusOK)
}

// What was kept under a name stays in sight of who took consent back.
func TestConsentTakenBack(t *testing.T) {
	e := newEverybody(t)
	bo := e.trainee("Bo Test")
	shot := bo.sendTray("/tray")
	e.site.measure(madeUp)
	bo.post("/mine", url.Values{"name": {"no"}})
	bo.get("/mine").must(e.site, http.StatusOK, "without your name. What was kept before stays", "Yes, with my name")
	bo.get(shot).must(e.site, http.StatusOK)
	if n := len(unzipped(t, bo.get("/past/everything.zip"))); n != 5 {
		t.Errorf("%d files", n)
	}
	bo.get("/exam").must(e.site, http.StatusOK, "An exam needs your name")
	bo.post("/mine", url.Values{"name": {"yes"}})
	bo.get("/past").must(e.site, http.StatusOK, shot)
}

// By the class code anybody may take a name: nobody takes another's consent back by it,
// and nobody has another deleted.
func TestConsentByClassCode(t *testing.T) {
	e := newEverybody(t)
	e.code.post("/mine", url.Values{"name": {"no"}}).must(e.site, http.StatusSeeOther)
	if c, _ := e.accounts.Consent(t.Context(), "Aoi Test"); !c.Given {
		t.Error("taken back by the class code")
	}
	e.code.get("/mine").lacks(e.site, "Delete everything")
	for _, path := range []string{"/mine/delete", "/mine/stay"} {
		e.code.post(path, nil).must(e.site, http.StatusNotFound)
	}
}

// Who asks to be deleted is deleted once who teaches confirms it, and may think better
// of it before; where the school says at once, at once.
func TestAskedToBeDeleted(t *testing.T) {
	e := newEverybody(t)
	e.bo.sendTray("/tray")
	e.site.measure(madeUp)
	e.bo.get("/mine/delete").must(e.site, http.StatusOK, "Who teaches confirms it")
	e.bo.made("/mine/delete", nil).must(e.site, http.StatusOK, "You asked on")
	e.teacher.get("/people").must(e.site, http.StatusOK, "Bo Test asked on")
	e.bo.made("/mine/stay", nil).lacks(e.site, "You asked on")
	e.teacher.get("/people").lacks(e.site, "Bo Test asked on")
	e.bo.post("/mine/delete", nil)
	e.teacher.post("/people/forget", url.Values{"name": {"Bo Test"}})
	mentions(t, e.folder.Dir(), "Bo Test", 0)
	e.teacher.get("/people/forget").must(e.site, http.StatusOK, "as the person asked: photos 1")

	e.keeps(keeping.Rules{AtOnce: true})
	e.aoi.get("/mine/delete").must(e.site, http.StatusOK, "at once")
	if got := e.aoi.post("/mine/delete", nil); got.status != http.StatusSeeOther || got.header.Get("Location") != "/" {
		t.Errorf("%d to %s", got.status, got.header.Get("Location"))
	}
	mentions(t, e.folder.Dir(), "Aoi Test", 0)
	e.aoi.get("/tray").must(e.site, http.StatusUnauthorized)
	if lines, err := e.folder.List(t.Context(), intake.Filter{Kind: intake.Line}); err != nil || len(lines) != 1 {
		t.Errorf("the line has %d checks, %v", len(lines), err)
	}
}
