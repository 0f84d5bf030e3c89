package serve

import (
	"net/http"
	"net/url"
	"regexp"
	"testing"

	"netagauge/internal/core/piece"
	"netagauge/internal/keep/intake"
)

// A task is kept, given to the open class, which is held against its fish and standard
// from then on, and to another class again.
func TestTaskIsGiven(t *testing.T) {
	e := newEverybody(t)
	fields := url.Values{"name": {"Ten of tuna"}, "species": {"bluefin tuna"}, "slices": {"１０"}, "minutes": {"12"}, "length": {"200"}, "width": {"70"}, "height": {"25"}, "practice": {"yes"}}
	e.teacher.made("/tasks", fields).must(e.site, http.StatusOK, "Ten of tuna", "10 slices from a block of 200 × 70 × 25 mm, within 12 minutes", "Give it to Monday", "/plan/sheet.pdf?")
	for name, wrong := range map[string]string{"slices": "none", "minutes": "long", "height": "0", "name": "", "species": "unicorn"} {
		bad := url.Values{}
		for k, v := range fields {
			bad[k] = v
		}
		bad.Set(name, wrong)
		e.teacher.post("/tasks", bad).must(e.site, http.StatusUnprocessableEntity, `role="alert"`, `value="200"`)
	}
	e.teacher.made("/tasks/give", url.Values{"name": {"Ten of tuna"}}).must(e.site, http.StatusOK, "10 slices from a block")
	e.teacher.get("/tasks").must(e.site, http.StatusOK, "Monday has this task.")
	e.bo.get("/tray").must(e.site, http.StatusOK, "Task: ", "within 12 minutes")
	e.aoi.sendTray("/tray")
	x, found, err := e.folder.Next(t.Context())
	if err != nil || !found || x.Ticket.Species != "bluefin tuna" || !x.Ticket.Standard.Practice {
		t.Errorf("%+v %v, %v", x.Ticket, found, err)
	}
	if err := e.server.applyStandard(t.Context()); err != nil { // the house's standard is kept anew
		t.Fatal(err)
	}
	if class, err := e.folder.Session(t.Context(), intake.Class, "Monday"); err != nil || !class.Ticket.Standard.Practice {
		t.Errorf("the task's standard is gone: %+v, %v", class.Ticket.Standard.Name, err)
	}
	e.site.measure(madeUp)
	e.teacher.post("/class", url.Values{"class": {"Tuesday"}, "day": {"2026-11-26"}}).must(e.site, http.StatusSeeOther)
	e.teacher.get("/class").lacks(e.site, "within 12 minutes")
	e.teacher.made("/tasks/give", url.Values{"name": {"Ten of tuna"}}).must(e.site, http.StatusOK, "within 12 minutes")
	e.teacher.made("/tasks/drop", url.Values{"name": {"Ten of tuna"}}).must(e.site, http.StatusOK)
	e.teacher.get("/tasks").lacks(e.site, "Ten of tuna")
	e.bo.get("/tray").must(e.site, http.StatusOK, "within 12 minutes") // who was given it keeps it
	e.teacher.post("/tasks/give", url.Values{"name": {"Ten of tuna"}}).must(e.site, http.StatusNotFound)
	e.bo.post("/tasks/give", url.Values{"name": {"Ten of tuna"}}).must(e.site, http.StatusNotFound)
}

// three is a tray of three slices, each longer than another's by so much.
func three(longer float64) func(intake.Shot) piece.Tray {
	return func(s intake.Shot) piece.Tray {
		r := madeUp(s)
		r.Pieces = nil
		for i := range 3 {
			length, x := 79+float64(i)+longer, 40+100*float64(i)
			r.Pieces = append(r.Pieces, piece.Piece{Number: i + 1, State: piece.Measured, Verdict: piece.Pass, Cover: piece.Of(1, 0), Area: piece.Of(35*length, 20),
				Outline: [][2]float64{{x, 40}, {x + length, 40}, {x + length, 75}, {x, 75}}, Length: piece.Of(length, 0.5), Width: piece.Of(35, 0.5)})
		}
		r.Pieces[2].Verdict = piece.Fail
		return r
	}
}

// The teacher's own tray is on no board, and trays of the class are laid over it.
func TestReferenceTray(t *testing.T) {
	e := newEverybody(t)
	sent := e.teacher.send("/class/reference", nil, "own.jpg", freshPhoto())
	sent.must(e.site, http.StatusSeeOther)
	e.site.measure(three(0))
	shot := sent.header.Get("Location")
	e.teacher.get(shot).must(e.site, http.StatusOK, "Make it the reference of Monday")
	tray := e.bo.sendTray("/tray")
	e.site.measure(three(6))
	e.bo.get(tray).lacks(e.site, "Beside the reference tray")
	e.teacher.made(shot+"/reference", nil).must(e.site, http.StatusOK, "The reference tray of Monday")
	got := e.bo.get(tray)
	got.must(e.site, http.StatusOK, "Beside the reference tray", "&#43;6.0 ± 2.3 mm from the reference", "spread 1.0 against 1.0 mm", "<dt>Length</dt>")
	if laid := regexp.MustCompile(`<polygon class="(good|again)"`).FindAllStringSubmatch(got.body, -1); len(laid) != 3 || laid[0][1] != "good" || laid[2][1] != "again" {
		t.Errorf("laid over the reference: %v", laid)
	}
	got.lacks(e.site, "Make it the reference")
	e.teacher.get("/class").lacks(e.site, "<b><bdi>instructor</bdi>")
	e.teacher.get("/class").must(e.site, http.StatusOK, shot)
	e.bo.get(shot).must(e.site, http.StatusNotFound)
	e.bo.post(tray+"/reference", nil).must(e.site, http.StatusNotFound)
	e.teacher.made(shot+"/reference", url.Values{"end": {"yes"}}).must(e.site, http.StatusOK, "Make it the reference")
	e.bo.get(tray).lacks(e.site, "Beside the reference tray")
}
