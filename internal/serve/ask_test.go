package serve

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"netagauge/internal/core/piece"
	"netagauge/internal/keep/intake"
)

// Where the angle of a lesson would follow from the block's size, that is asked for on
// the result, and told once it is known.
func TestBlockIsAskedFor(t *testing.T) {
	e := newEverybody(t)
	e.aoi.get(e.aoiShot).must(e.site, http.StatusOK, `name="block-width"`, "How wide was the block across")
	e.aoi.post(e.aoiShot+"/again", url.Values{"block-width": {"wide"}}).must(e.site, http.StatusUnprocessableEntity, "is no number of mm")
	e.aoi.post(e.aoiShot+"/again", url.Values{"block-width": {"900"}}).must(e.site, http.StatusUnprocessableEntity, "cannot be")
	e.aoi.post(e.aoiShot+"/again", url.Values{"block-width": {"５２、５"}}).must(e.site, http.StatusSeeOther)
	e.aoi.get(e.aoiShot).lacks(e.site, `name="block-width"`) // while it is measured
	e.measure(madeUp)
	e.aoi.get(e.aoiShot).lacks(e.site, `name="block-width"`)
	x, err := e.folder.Shot(t.Context(), strings.TrimPrefix(e.aoiShot, "/shots/"))
	if err != nil || x.Ticket.Cut.BlockWidth != 52.5 || x.Ticket.Thickness != "4.2" {
		t.Errorf("told are a block of %g mm and a thickness of %q, %v", x.Ticket.Cut.BlockWidth, x.Ticket.Thickness, err)
	}
}

// A photo without a mat is shown as it is, with the place where the mat should lie; one
// that is only blurred without it.
func TestRefusedPhotoIsShown(t *testing.T) {
	e := newEverybody(t)
	for code, lay := range map[string]bool{"no-mat": true, "few-tags": true, "blurred": false} {
		shot := e.aoi.sendTray("/tray")
		e.measure(func(s intake.Shot) piece.Tray {
			r := refusedReport(s)
			r.Photo.WidthPx, r.Photo.HeightPx = 3000, 4000
			r.Problems[0].Code = code
			return r
		})
		page := e.aoi.get(shot)
		page.must(e.site, http.StatusOK, `viewBox="0 0 390 520.0"`, `<image href="`+shot+`/view?r=`)
		if strings.Contains(page.body, `class="lay"`) != lay {
			t.Errorf("%s: the mat's place is drawn: %v", code, !lay)
		}
		if got := e.aoi.get(shot + "/view"); got.status != http.StatusOK || got.header.Get("Content-Type") != "image/jpeg" {
			t.Errorf("%s: the picture: %d", code, got.status)
		}
	}
}
