package serve

import (
	"net/http"
	"net/url"
	"reflect"
	"testing"

	"netagauge/internal/core/fatal"
	"netagauge/internal/core/piece"
	"netagauge/internal/keep/account"
	"netagauge/internal/keep/intake"
	"netagauge/internal/keep/settings"
)

// Slices that could not be measured count on the class's page too: a trainee who hides
// them is not one who does fine.
func TestBoardCountsTheUnmeasured(t *testing.T) {
	e := newEverybody(t)
	e.teacher.get("/class").must(e.site, http.StatusOK, "4 slices: 1 good, 1 again, 2 not measured")
}

// The page of an earlier class goes on by itself while its photos are measured anew.
func TestEarlierClassGoesOn(t *testing.T) {
	e := newEverybody(t)
	e.teacher.post("/class", url.Values{"class": {"Tuesday"}, "day": {"2026-11-26"}}).must(e.site, http.StatusSeeOther)
	x, err := e.folder.Shot(t.Context(), e.aoiShot[7:])
	fatal.If(t, err)
	if _, err := e.folder.Again(t.Context(), x.ID, x.Ticket); err != nil {
		t.Fatal(err)
	}
	const page = "/class/earlier?class=Monday"
	e.teacher.get(page).must(e.site, http.StatusOK, `data-live="`+page+`&amp;live"`, "Updating: 1 of 2")
	if got := e.teacher.get(page + "&live"); got.header.Get("Settled") != "" {
		t.Errorf("settled while it is measured: %s", got.body)
	}
	e.site.measure(madeUp)
	if got := e.teacher.get(page + "&live"); got.header.Get("Settled") != "yes" {
		t.Errorf("not settled when all was measured: %s", got.body)
	}
	e.teacher.get(page).lacks(e.site, "data-live")
}

// The wall names three whom the teacher visits next, however many there are; the board
// names all.
func TestWallNamesThree(t *testing.T) {
	s := newSite(t)
	fatal.If(t, s.server.Settings.Keep(t.Context(), settings.Roster, "label,name\n1,Ann A\n2,Bea B\n3,Cho C\n4,Dee D\n"))
	teacher := s.role(account.Instructor)
	teacher.openMonday()
	names := []string{"Ann A", "Bea B", "Cho C", "Dee D"}
	for _, name := range names {
		s.trainee(name).sendTray("/tray") // with a slice that was not measured
	}
	s.measure(madeUp)
	teacher.get("/class").must(s, http.StatusOK, names...)
	wall := teacher.get("/class/wall")
	wall.must(s, http.StatusOK, names[:3]...)
	wall.lacks(s, names[3])
}

// Hands that are reckoned together are those that each is alone.
func TestHandsTogetherAreEachAlone(t *testing.T) {
	s := newSite(t)
	s.role(account.Instructor).openMonday()
	for name, trays := range map[string]int{"Aoi Test": 2, "Bo Test": 3} {
		v := s.trainee(name)
		for range trays {
			v.sendTray("/tray")
		}
	}
	s.measure(func(x intake.Shot) piece.Tray {
		r := madeUp(x)
		if x.Who == "Bo Test" {
			r.Pieces = r.Pieces[:1]
		}
		return r
	})
	var alone, together [2]handData
	for i, name := range []string{"Aoi Test", "Bo Test"} {
		alone[i].Name, together[i].Name = name, name
		fatal.If(t, s.server.handOf(t.Context(), &alone[i]))
	}
	fatal.If(t, s.server.handOf(t.Context(), &together[0], &together[1]))
	if !reflect.DeepEqual(alone, together) || alone[1].Pace == "" {
		t.Errorf("alone %+v, together %+v", alone, together)
	}
}
