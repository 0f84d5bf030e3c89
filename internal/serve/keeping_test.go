package serve

import (
	"net/http"
	"net/url"
	"regexp"
	"testing"
	"time"

	"netagauge/internal/core/fatal"
	"netagauge/internal/keep/intake"
	"netagauge/internal/keep/keeping"
)

// The dates are set on a page that tells what they delete before they do; nothing goes on
// the day of the change or the next. A tray without its photo shows its result and says
// so.
func TestDatesOfKeeping(t *testing.T) {
	e := newEverybody(t)
	page := e.teacher.get("/people/keeping")
	page.must(e.site, http.StatusOK, "beginning a whole day after")
	page.lacks(e.site, "What goes next")
	was := matchedIn(t, `name="was" value="([0-9a-f]*)"`, page.body)
	e.teacher.post("/people/keeping", url.Values{"was": {was}, "photos": {"1"}}).must(e.site, http.StatusUnprocessableEntity, "2 to 3650 days")
	e.teacher.post("/people/keeping", url.Values{"was": {"other"}, "photos": {"30"}}).must(e.site, http.StatusConflict, "Somebody else saved")
	e.teacher.made("/people/keeping", url.Values{"was": {was}, "photos": {"３０"}, "people": {"12"}}).must(e.site, http.StatusOK, "Saved", "Nothing goes before", "photos go: 0")

	later := time.Now().AddDate(0, 0, 31)
	fatal.If(t, e.server.keepDates(t.Context(), time.Now()))
	e.aoi.get(e.aoiShot).must(e.site, http.StatusOK, "Measure anew")
	if err := e.server.keepDates(t.Context(), later); err != nil { // as if a month had passed
		t.Fatal(err)
	}
	got := e.aoi.get(e.aoiShot)
	got.must(e.site, http.StatusOK, "The photo was deleted on", "/slices/2")
	got.lacks(e.site, "Measure anew", "Second photo")
	e.aoi.get(e.aoiShot+"/view").must(e.site, http.StatusOK)
	e.aoi.post(e.aoiShot+"/again", url.Values{"thickness": {"4"}}).must(e.site, http.StatusConflict, "nothing can be measured anew")
	if n := len(unzipped(t, e.aoi.get("/past/everything.zip"))); n != 2+2*2 { // no photos
		t.Errorf("%d files", n)
	}
	if shots, err := e.folder.List(t.Context(), intake.Filter{}); err != nil || len(shots) != 3 {
		t.Errorf("%d trays are left, %v", len(shots), err)
	}
	e.said.Reset()
}

// A trainee's records go once the last tray is so long ago, as if somebody had asked.
func TestPeopleByDates(t *testing.T) {
	e := newEverybody(t)
	e.keeps(keeping.Rules{PersonMonths: 6, Since: "2026-01-01"})
	fatal.If(t, e.server.keepDates(t.Context(), time.Now().AddDate(0, 5, 0)))
	e.aoi.get(e.aoiShot).must(e.site, http.StatusOK)
	fatal.If(t, e.server.keepDates(t.Context(), time.Now().AddDate(0, 7, 0)))
	mentions(t, e.folder.Dir(), "Aoi Test", 0)
	mentions(t, e.folder.Dir(), "Bo Test", 1) // sent nothing, and is on the class list
	e.teacher.get("/people/forget").must(e.site, http.StatusOK, "dates of keeping: photos 2")
}

func matchedIn(t *testing.T, pattern, text string) string {
	t.Helper()
	m := regexp.MustCompile(pattern).FindStringSubmatch(text)
	if m == nil {
		t.Fatalf("no %s in\n%s", pattern, text)
	}
	return m[1]
}
