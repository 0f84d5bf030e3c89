package serve

import (
	"context"
	"net/http"
	"net/url"
	"testing"

	"netagauge/internal/core/fatal"
	"netagauge/internal/keep/intake"
)

// What a scale said of a slice goes onto the ticket of the one tray and measures it
// anew; nobody weighs another's slices.
func TestWeigh(t *testing.T) {
	e := newEverybody(t)
	result := e.aoi.get(e.aoiShot)
	result.must(e.site, http.StatusOK, "Weigh the slices", `name="slice-1"`, `name="slice-2"`)
	result.lacks(e.site, `name="slice-3"`) // it was not measured
	weigh := func(v *visitor, f url.Values) answer { return v.post(e.aoiShot+"/weigh", f) }
	for name, v := range map[string]*visitor{"stranger": e.stranger, "chef": e.chef} {
		if got := weigh(v, url.Values{"slice-1": {"11"}}); got.status != http.StatusNotFound && got.status != http.StatusUnauthorized {
			t.Errorf("%s weighs: %d", name, got.status)
		}
	}
	weigh(e.aoi, url.Values{"slice-1": {"11,8:2"}, "interval": {"0.1"}}).must(e.site, http.StatusUnprocessableEntity, "one number of grams")
	weigh(e.aoi, url.Values{"slice-1": {"eleven"}, "interval": {"0.1"}}).must(e.site, http.StatusUnprocessableEntity)
	weigh(e.aoi, url.Values{"slice-1": {" １１，８ "}, "slice-2": {""}, "interval": {"1"}}).must(e.site, http.StatusSeeOther)
	e.measure(madeUp)
	x, err := e.folder.Shot(context.Background(), e.aoiShot[7:])
	if err != nil || x.Ticket.Weights != "1:11.8" || x.Ticket.ScaleInterval != "1" || x.State != intake.Measured || x.Turn != 1 {
		t.Errorf("%+v, %v", x, err)
	}
	for _, c := range []struct{ second, want string }{{"", "60"}, {"12.1", ""}} { // the tray's weight counts until each slice's is told
		told := x.Ticket
		told.Thickness, told.Weights, told.ScaleInterval, told.TrayWeight = "", "", "", "60"
		_, err := e.folder.Again(t.Context(), x.ID, told)
		fatal.If(t, err)
		e.measure(madeUp)
		weigh(e.aoi, url.Values{"slice-1": {"11.8"}, "slice-2": {c.second}, "interval": {"1"}})
		e.measure(madeUp)
		if got, err := e.folder.Shot(t.Context(), x.ID); err != nil || got.Ticket.TrayWeight != c.want {
			t.Errorf("second slice %q: tray weight %q, %v; want %q", c.second, got.Ticket.TrayWeight, err, c.want)
		}
	}
	weigh(e.aoi, url.Values{"slice-1": {"11.8"}, "interval": {"1"}}).must(e.site, http.StatusSeeOther)
	e.measure(madeUp)
	e.aoi.get(e.aoiShot).must(e.site, http.StatusOK, `value="11.8"`, "Weight counts now", "What counts, and what it rests on", "Close counts as good; what is not measured counts as again", "<option selected>1</option>")
}
