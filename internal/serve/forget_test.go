package serve

import (
	"io/fs"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"netagauge/internal/core/fatal"
	"netagauge/internal/judge/exam"
	"netagauge/internal/judge/ticket"
	"netagauge/internal/keep/account"
	"netagauge/internal/keep/intake"
)

// Once a person's records are deleted no file of the folder has the name, not even as
// deleted bytes, and nobody comes in by it; the others' are as they were.
func TestForget(t *testing.T) {
	e := newEverybody(t)
	e.bo.sendTray("/tray")
	e.site.measure(madeUp)
	e.bo.post("/eye", url.Values{"token": {"1"}, "card": {"b-1"}, "measure": {"length"}, "guess": {"77"}})
	e.teacher.post(e.aoiShot+"/override", url.Values{"piece": {"1"}, "kind": {"not-a-slice"}, "reason": {"as Bo Test cuts"}})
	e.chef.send("/line", map[string]string{"who": "Bo Test"}, "line.jpg", freshPhoto())
	e.site.measure(madeUp)
	e.teacher.get("/class").must(e.site, http.StatusOK, "Bo Test")
	ask := e.teacher.get("/people/forget?name=Bo+Test")
	ask.must(e.site, http.StatusOK, "Photos: 1", "pictures: 1", "Guesses: 1", "and blocks: 2", "Backups made before")
	if got := e.teacher.post("/people/forget", url.Values{"name": {"Bo Test"}}); got.status != http.StatusSeeOther {
		t.Fatal(got.status, got.body)
	}
	mentions(t, e.folder.Dir(), "Bo Test", 0)
	mentions(t, e.folder.Dir(), "Aoi Test", 1)
	e.bo.get("/tray").must(e.site, http.StatusUnauthorized)
	for _, path := range []string{"/class", "/people", "/roster", "/class/eyes", e.aoiShot, "/files/book.json"} {
		e.teacher.get(path).lacks(e.site, "Bo Test")
	}
	e.teacher.get("/people/forget").must(e.site, http.StatusOK, "by who teaches: photos 1, results 1")
	e.teacher.get("/people/forget?name=Bo+Test").must(e.site, http.StatusOK, "Nothing is kept")
	e.aoi.get(e.aoiShot).must(e.site, http.StatusOK)
	e.aoi.get("/past").must(e.site, http.StatusOK, e.aoiShot)
	if lines, err := e.folder.List(t.Context(), intake.Filter{Kind: intake.Line}); err != nil || len(lines) != 2 || lines[1].Result == 0 {
		t.Errorf("the line has %d checks, %v", len(lines), err)
	}
}

// mentions holds how many files have a name to what is wanted: all are read as bytes.
func mentions(t *testing.T, dir, name string, least int) {
	t.Helper()
	if with := filesWith(t, dir, name); len(with) < least || least == 0 && len(with) > 0 {
		t.Errorf("%q is in %v, want %d files", name, with, least)
	}
}

func filesWith(t *testing.T, dir, name string) (with []string) {
	t.Helper()
	err := filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := os.ReadFile(path)
		if strings.Contains(string(data), name) {
			with = append(with, filepath.Base(path))
		}
		return err
	})
	fatal.If(t, err)
	return with
}

// A result whose number is given to another afterwards shows the other's picture.
func TestForgottenPictures(t *testing.T) {
	e := newEverybody(t)
	shot := e.bo.sendTray("/tray")
	e.site.measure(madeUp)
	before := e.teacher.get(shot + "/view").body
	e.teacher.get("/people") // nothing hangs on it
	e.teacher.post("/people/forget", url.Values{"name": {"Bo Test"}})
	e.teacher.get(shot).must(e.site, http.StatusNotFound)
	e.teacher.get(shot+"/view").must(e.site, http.StatusNotFound)
	again := e.aoi.sendTray("/tray")
	e.site.measure(madeUp)
	if after := e.teacher.get(again + "/view").body; after == before || after == "" {
		t.Error("another's picture is shown")
	}
}

// Who has a passcode, or is in an exam that is not closed, is not deleted, and it is
// said why; nothing of it is begun.
func TestForgetRefused(t *testing.T) {
	e := newEverybody(t)
	e.withPasscode(account.Chef)
	hash, err := e.folder.Book().Ticket(t.Context(), mustTicket(e))
	fatal.If(t, err)
	if _, err := e.folder.Book().SetUpExam(t.Context(), exam.Task{Name: "Autumn", Ticket: hash, Trays: 1, Slices: 1, Minutes: 30, Mark: 0.8}, "Mori", []string{"Bo Test"}); err != nil {
		t.Fatal(err)
	}
	for name, says := range map[string]string{"Bo Test": "exam that is not closed", string(account.Chef): "has a passcode", "": "Type the name"} {
		e.teacher.post("/people/forget", url.Values{"name": {name}}).must(e.site, http.StatusConflict, says)
	}
	if open, _, err := e.folder.Removals(t.Context(), 1); err != nil || len(open) != 0 {
		t.Errorf("begun: %v, %v", open, err)
	}
	e.bo.get("/tray").must(e.site, http.StatusOK)
}

// A removal that had to wait for the worker is done soon after, and by the next program
// where this one is stopped.
func TestForgetGoesOn(t *testing.T) {
	e := newEverybody(t)
	e.bo.sendTray("/tray")
	inHand, _, err := e.folder.Next(t.Context())
	fatal.If(t, err)
	e.teacher.post("/people/forget", url.Values{"name": {"Bo Test"}})
	e.teacher.get("/people").must(e.site, http.StatusOK, "are being deleted")
	fatal.If(t, e.folder.PutBack(t.Context(), inHand))
	if _, err := New(t.Context(), e.server.Options); err != nil {
		t.Fatal(err)
	}
	e.soon("it goes on", func() bool {
		open, done, _ := e.folder.Removals(t.Context(), 1)
		return len(open) == 0 && len(done) == 1 && len(filesWith(t, e.folder.Dir(), "Bo Test")) == 0
	})
}

func mustTicket(e everybody) ticket.Ticket {
	s, err := e.folder.Session(e.Context(), intake.Class, "Monday")
	fatal.If(e, err)
	return s.Ticket
}
