package serve

import (
	"fmt"
	"net/http"
	"net/url"
	"netagauge/internal/core/fatal"
	"netagauge/internal/keep/intake"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"netagauge/internal/core/piece"
	"netagauge/internal/judge/standard"
	"netagauge/internal/keep/settings"
)

// keepStandard keeps what an answer leads to trying.
func (v *visitor) keepStandard(tried answer) {
	v.Helper()
	to, err := url.Parse(tried.header.Get("Location"))
	if err != nil || to.Query().Get("try") == "" {
		v.Fatalf("it is not tried: %d, %q\n%s", tried.status, to, tried.body)
	}
	if got := v.post("/standard/keep", url.Values{"try": {to.Query().Get("try")}}); got.header.Get("Location") != "/standard?saved" {
		v.Fatalf("keep the standard: %d\n%s", got.status, got.body)
	}
}

var field = regexp.MustCompile(`<input id="([^"]+)" name="([^"]+)"[^>]* value="([^"]*)"`)

// fields are those of the standard's form as a browser would send them.
func (v *visitor) fields() url.Values {
	v.Helper()
	body := v.get("/standard").body
	out := url.Values{"was": {wasField.FindStringSubmatch(body)[1]}}
	for _, m := range field.FindAllStringSubmatch(body, -1) {
		out.Set(m[2], m[3])
	}
	return out
}

// judged is a made-up report held against the ticket's standard as the program does.
func judged(x intake.Shot) piece.Tray {
	r := madeUp(x)
	_, group := x.Ticket.Fish()
	for i := range r.Pieces {
		if r.Pieces[i].State == piece.Measured {
			x.Ticket.Standard.Judge(&r.Pieces[i], group)
		}
	}
	return r
}

// The house standard by fields: what would change is said before it is kept, comes to
// be, and can be undone; what has no field stays as it was.
func TestStandardByFields(t *testing.T) {
	e := newEverybody(t)
	house := standard.Default()
	house.Rice.CoverFloor, house.KobaRequired = 0.9, false
	text, err := house.TOML()
	fatal.If(t, err)
	e.teacher.keepStandard(e.teacher.edit("/standard", string(text)))
	e.measure(judged)
	e.teacher.get("/class").must(e.site, http.StatusOK, "8 slices: 2 good, 2 again, 4 not measured")

	f := e.teacher.fields()
	if f.Get("length-low") != "75" || f.Get("weight-stiff-high") != "9" {
		t.Fatalf("the fields are %v", f)
	}
	f.Set("width-aim", "40")
	e.teacher.post("/standard", f).must(e.site, http.StatusUnprocessableEntity, "Width: give three numbers", `value="40"`)
	f.Set("width-aim", "thick")
	e.teacher.post("/standard", f).must(e.site, http.StatusUnprocessableEntity, "Width: give three numbers")
	f = e.teacher.fields()
	f.Set("length-high", "９５") // as a Japanese keyboard writes it; the slices of 90 mm pass
	tried := e.teacher.post("/standard", f)
	e.teacher.get(tried.header.Get("Location")).must(e.site, http.StatusOK, "2 of 4 verdicts in the open class would change", "from again to good:", `value="95"`)
	if now, _ := e.server.house(t.Context()); now.Length.High != 85 {
		t.Errorf("before it is kept the house asks for %g", now.Length.High)
	}
	e.chef.post("/standard/keep", url.Values{"try": {"x"}}).must(e.site, http.StatusNotFound)

	e.teacher.keepStandard(tried)
	e.measure(judged)
	e.teacher.get("/class").must(e.site, http.StatusOK, "8 slices: 4 good, 4 not measured")
	if now, _ := e.server.house(t.Context()); now.Length.High != 95 || now.Rice.CoverFloor != 0.9 {
		t.Errorf("the house asks for %+v", now)
	}
	saved := e.teacher.get("/standard?saved")
	saved.must(e.site, http.StatusOK, "Saved", "Back to the standard from before")
	was := wasField.FindStringSubmatch(saved.body)[1]
	e.teacher.post("/standard/undo", url.Values{"was": {strings.Repeat("0", 64)}}).must(e.site, http.StatusConflict, "Somebody else saved")
	e.teacher.post("/standard/undo", url.Values{"was": {was}}).must(e.site, http.StatusSeeOther)
	e.measure(judged)
	e.teacher.get("/class").must(e.site, http.StatusOK, "8 slices: 2 good, 2 again, 4 not measured")
	if now, _ := e.server.house(t.Context()); now.Length.High != 85 || now.Rice.CoverFloor != 0.9 {
		t.Errorf("after the undo the house asks for %+v", now)
	}
}

// What a person said of a slice is no verdict that a standard changes.
func TestTrySparesWhatWasSaid(t *testing.T) {
	e := newEverybody(t)
	for _, shot := range []string{e.aoiShot, e.codeShot} {
		e.teacher.post(shot+"/override", url.Values{"piece": {"2"}, "kind": {"said-again"}, "reason": {"torn"}}).must(e.site, http.StatusSeeOther)
	}
	f := e.teacher.fields()
	f.Set("length-high", "95")
	e.teacher.get(e.teacher.post("/standard", f).header.Get("Location")).must(e.site, http.StatusOK, "0 of 4 verdicts")
}

// The class list as names: pasted, one a line; who goes is asked about first, and who
// stays keeps link, label and minutes.
func TestRosterAsNames(t *testing.T) {
	e := newEverybody(t)
	page := e.teacher.get("/roster")
	page.must(e.site, http.StatusOK, "Aoi Test\nBo Test\n", "(3)")
	was := wasField.FindStringSubmatch(page.body)[1]
	e.teacher.post("/roster", url.Values{"was": {was}, "names": {"Aoi Test\r\nChi Test\r\nAoi Test"}}).must(e.site, http.StatusUnprocessableEntity, "lines 1 and 3", "Chi Test")
	list := url.Values{"was": {was}, "names": {"Chi Test\r\nAoi Test\r\n"}}
	asked := e.teacher.post("/roster", list)
	asked.must(e.site, http.StatusConflict, "Not in the list any more: Bo Test")
	e.bo.get("/tray").must(e.site, http.StatusOK)
	sheet := regexp.MustCompile(`name="text" value="([^"]*)"`).FindStringSubmatch(asked.body)
	if sheet == nil {
		t.Fatalf("nothing to save without them\n%s", asked.body)
	}
	e.teacher.post("/roster", url.Values{"was": {was}, "gone": {"yes"}, "text": {sheet[1]}}).must(e.site, http.StatusSeeOther)
	e.bo.get("/tray").must(e.site, http.StatusUnauthorized)
	e.aoi.get("/tray").must(e.site, http.StatusOK)
	got, err := os.ReadFile(filepath.Join(e.folder.Dir(), settings.Roster))
	if want := "label,name,minutes\nChi Test,Chi Test,\nTray 01,Aoi Test,\n"; err != nil || string(got) != want {
		t.Errorf("the roster is %q, %v", got, err)
	}
	e.teacher.get("/roster?saved").must(e.site, http.StatusOK, "Saved", "(2)")
	many := make([]string, 60)
	for i := range many {
		many[i] = fmt.Sprint("Trainee ", i)
	}
	was = wasField.FindStringSubmatch(e.teacher.get("/roster").body)[1]
	e.teacher.post("/roster", url.Values{"was": {was}, "gone": {"yes"}, "names": {strings.Join(many, "\n")}}).must(e.site, http.StatusSeeOther)
	e.teacher.get("/people").must(e.site, http.StatusOK, "Trainee 59")
}
