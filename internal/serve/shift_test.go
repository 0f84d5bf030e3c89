package serve

import (
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"netagauge/internal/core/fatal"
	"netagauge/internal/judge/yield"
	"netagauge/internal/keep/book"
)

// What is handed over is what was checked and cut since the last time; it stays as it was.
func TestHandOver(t *testing.T) {
	e := newEverybody(t)
	if _, err := e.folder.Book().OpenBlock(t.Context(), yield.Block{Species: "squid", Supplier: "harbour", Grams: 500, OpenedAt: time.Now()}); err != nil {
		t.Fatal(err)
	}
	b := yield.Block{Species: "tuna", Cutter: "Cook of yesterday", Grams: 600, OpenedAt: time.Now().AddDate(0, 0, -2)}
	id, err := e.folder.Book().OpenBlock(t.Context(), b)
	fatal.If(t, err)
	b.ID, b.Served, b.ClosedAt = id, 40, time.Now().AddDate(0, 0, -1)
	fatal.If(t, e.folder.Book().CloseBlock(t.Context(), b))
	e.chef.get("/shift").lacks(e.site, "Cook of yesterday")
	e.chef.get("/shift").must(e.site, http.StatusOK, "1 check: 4 slices: 1 good, 1 again, 2 not measured", "quid, harbour: open, 500 g when it came", "85.0 mm on average, spread 7.1 mm")
	kept := e.chef.made("/shift", url.Values{"remark": {"knife 2 to the stone " + hostile}})
	kept.must(e.site, http.StatusOK, "1 check: 4 slices", "knife 2 to the stone", "parasites", "chef")
	kept.lacks(e.site, hostile)
	// What was checked in the very second of a hand-over is told by both; here a second goes by.
	if _, err := e.folder.Book().AddHandover(t.Context(), book.Handover{Line: "lunch", By: "chef", MadeAt: time.Now().Add(time.Second)}); err != nil {
		t.Fatal(err)
	}
	e.chef.get("/shift").must(e.site, http.StatusOK, "No spot check in this time.", "quid, harbour", "Earlier ones")
	e.chef.sendTray("/line")
	e.site.measure(madeUp)
	e.teacher.get("/shift/1").must(e.site, http.StatusOK, "1 check: 4 slices")
	e.chef.header.Set("Accept-Language", "ja")
	e.chef.get("/shift/1").must(e.site, http.StatusOK, "イカ、harbour：使用中")
	e.chef.header.Set("Accept-Language", "en")
	e.chef.get("/shift/99").must(e.site, http.StatusNotFound)
	e.chef.post("/shift", url.Values{"remark": {strings.Repeat("x", 1001)}}).must(e.site, http.StatusUnprocessableEntity, "fewer words")
	e.aoi.post("/shift", nil).must(e.site, http.StatusNotFound)
	e.aoi.get("/shift/1").must(e.site, http.StatusNotFound)
}
