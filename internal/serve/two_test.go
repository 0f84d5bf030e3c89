package serve

import (
	"net/http"
	"net/http/httptest"
	"net/url"
	"sync/atomic"
	"testing"
	"time"

	"netagauge/internal/keep/account"
	"netagauge/internal/keep/postgrestest"
)

// inTurn has two servers of one organisation, on the same record in PostgreSQL, answer
// the requests to one address in turn.
func inTurn(t *testing.T) *group {
	t.Helper()
	at := schemasOf(t, serverOf(t, postgrestest.Own(t)))
	g, second := groupOn(t, at), groupOn(t, at)
	handlers := []http.Handler{g.o.Handler(), second.o.Handler()}
	var asked atomic.Int64
	web := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		handlers[asked.Add(1)%2].ServeHTTP(w, r)
	}))
	t.Cleanup(web.Close)
	for _, s := range g.sites {
		s.url = web.URL
	}
	return g
}

// What one server was told the other knows: whatever is shown once, drafts, sites just
// added, and who guesses.
func TestTwoServersInTurn(t *testing.T) {
	g := inTurn(t)
	owner := g.owner()
	for i, name := range []string{"nara", "nagoya", "kobe"} { // by a row of requests of either parity
		owner.made("/organisation/sites", url.Values{"name": {name}, "title-en": {"South " + name}}).must(g.site, http.StatusOK, "South "+name)
		owner.made("/sites/"+name+"/name", url.Values{"title-en": {"North " + name}}).must(g.site, http.StatusOK, "North "+name)
		page := owner.made("/sites/"+name+"/passcode", url.Values{"name": {"Mori"}})
		page.must(g.site, http.StatusOK, "Mori")
		first := g.visitor()
		for range i % 2 {
			first.get("/static/style.css")
		}
		first.get("/at/" + name)
		first.made("/signin", url.Values{"name": {"Mori"}, "passcode": {madeCode.FindString(page.body)}}).must(g.site, http.StatusOK)
	}
	gone := owner.made("/organisation/owners", url.Values{"name": {"Second"}})
	gone.must(g.site, http.StatusOK, "Passcode for Second")
	teacher := g.teacher("kyoto", account.Instructor)
	kyoto := g.sites["kyoto"]
	teacher.made("/class", url.Values{"class": {"Monday"}, "day": {"2026-11-25"}, "species": {"salmon"}}).must(kyoto, http.StatusOK, "Monday")
	for range 2 {
		teacher.made("/people/links", url.Values{"name": {"Aoi Test"}}).must(kyoto, http.StatusOK, "/t/kyoto.")
		teacher.get("/static/style.css") // now the other one makes it
	}
	f := teacher.fields()
	f.Set("width-high", "45")
	teacher.keepStandard(teacher.post("/standard", f))
	teacher.get("/standard").must(kyoto, http.StatusOK, `action="/standard/undo"`, `value="45"`)
	shot := kyoto.trainee("Bo of kyoto").sendTray("/tray")
	kyoto.measure(madeUp)
	teacher.get(shot).must(kyoto, http.StatusOK, "<b>1</b> good")
	teacher.get(shot).must(kyoto, http.StatusOK, "<b>1</b> good")
}

// Whoever guesses has as many tries at two servers as at one, and those who know their
// passcode come in.
func TestGuessesCountAtAllServers(t *testing.T) {
	g := inTurn(t)
	v := g.visitor()
	v.get("/at/kyoto")
	tried, began := 0, time.Now()
	for range 24 {
		if v.post("/signin", url.Values{"name": {"instructor"}, "passcode": {"wrong"}}).status != http.StatusTooManyRequests {
			tried++
		}
	}
	if most := 11 + int(time.Since(began)/(10*time.Second)); tried > most || tried < 10 {
		t.Errorf("%d of 24 guesses were let in, want 10 to %d", tried, most)
	}
}
