package serve

import (
	"encoding/csv"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"netagauge/internal/core/piece"
	"netagauge/internal/keep/intake"
)

// run is a report of slices cut one after another, ever thicker, by so much a slice.
func run(length, step float64, verdict piece.Verdict) func(intake.Shot) piece.Tray {
	return func(s intake.Shot) piece.Tray {
		r := madeUp(s)
		r.Problems, r.Tally = []piece.Problem{}, nil
		r.Pieces = nil
		for i := range 6 {
			y, wobble := 10+30*float64(i), []float64{0.02, -0.02, 0.01, -0.01, 0.03, -0.03}[i]
			r.Pieces = append(r.Pieces, piece.Piece{Number: i + 1, State: piece.Measured, Outline: [][2]float64{{40, y}, {120, y}, {120, y + 20}, {40, y + 20}},
				Length: piece.Of(length+10*wobble, 0.5), Width: piece.Of(35+wobble, 0.5), Area: piece.Of(2800, 20), Thickness: piece.Of(4+step*float64(i)+wobble, 0.2),
				Weight: piece.Of(11.5, 0.6), Cover: piece.Of(1, 0), Verdict: verdict})
		}
		return r
	}
}

// A trainee's page tells what changed since the class before and, once the order of
// cutting is told, what drifts along the block; the instructor sees the same, and it
// goes into a table.
func TestHand(t *testing.T) {
	e := newEverybody(t)
	e.aoi.sendTray("/tray")
	e.measure(run(84, 0, piece.Fail))
	e.teacher.post("/class", url.Values{"class": {"Tuesday"}, "day": {"2026-11-26"}, "species": {"salmon"}}).must(e.site, http.StatusSeeOther)
	shot := e.aoi.sendTray("/tray")
	e.measure(run(80, 0.2, piece.Pass))
	page := e.aoi.get("/hand")
	page.must(e.site, http.StatusOK, "Class: Tuesday", "Since the class Monday", "6 of 6 slices are good", "It takes four trays", shot+"/order")
	page.lacks(e.site, "order told")
	for _, wrong := range []string{"1, 2", "1 2 3 4 5 5", "1 2 3 4 5 7", "one"} {
		e.aoi.post(shot+"/order", url.Values{"order": {wrong}}).must(e.site, http.StatusUnprocessableEntity, "every slice of the tray once")
	}
	e.aoi.post(shot+"/order", url.Values{"order": {""}}).must(e.site, http.StatusSeeOther)
	// Five steps of 0.2 mm from the first slice to the last, less the wobble.
	e.aoi.get("/hand").must(e.site, http.StatusOK, "order told", "<b>&#43;1.0 mm</b>", "no clear change")
	e.aoi.post(shot+"/order", url.Values{"order": {"６、5,4 3 2 1"}}).must(e.site, http.StatusSeeOther)
	e.teacher.get("/class/hand?name=Aoi+Test").must(e.site, http.StatusOK, "<b>−1.0 mm</b>", `value="6, 5, 4, 3, 2, 1"`)
	rows, err := csv.NewReader(strings.NewReader(e.teacher.get("/files/hands.csv").body)).ReadAll()
	if err != nil || len(rows) < 4 {
		t.Fatalf("%v: %v", err, rows)
	}
	if r := rows[1]; r[0] != "Aoi Test" || r[1] != "Tuesday" || r[2] != "along the block" || !strings.HasPrefix(rows[len(rows)-1][2], "since Monday") {
		t.Errorf("%v", rows)
	}
	e.code.get("/hand").must(e.site, http.StatusOK)
	e.code.get("/hand").lacks(e.site, "Tuesday")
	e.bo.post(shot+"/order", url.Values{"order": {""}}).must(e.site, http.StatusNotFound)
	e.teacher.post("/class", url.Values{"class": {"Wednesday"}, "day": {"2026-11-27"}, "species": {"salmon"}}).must(e.site, http.StatusSeeOther)
	e.aoi.sendTray("/tray")
	e.measure(run(81, 0, piece.Pass))
	e.aoi.get("/hand").must(e.site, http.StatusOK, "Class: Wednesday", "Since the class Tuesday")
}
