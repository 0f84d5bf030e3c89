package serve

import (
	"archive/zip"
	"context"
	"io"
	"io/fs"
	"math/rand/v2"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"netagauge/internal/core/fatal"
	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/judge/standard"
	"netagauge/internal/keep/account"
	"netagauge/internal/keep/intake"
	"netagauge/internal/keep/settings"
	"netagauge/internal/serve/gate"
)

// A trainee's path: link, photo, progress, result; and a refused photo.
func TestTraineesPath(t *testing.T) {
	s := newSite(t)
	aoi := s.trainee("Aoi Test")
	aoi.get("/tray").must(s, http.StatusOK, "No class is open yet")
	if got := aoi.send("/tray", nil, "a.jpg", freshPhoto()); got.status != http.StatusConflict {
		t.Errorf("a photo before a class is open: %d", got.status)
	}
	s.role(account.Instructor).openMonday()
	aoi.get("/tray").must(s, http.StatusOK, "Wipe the lens", `accept="image/*" capture="environment"`)
	shot := aoi.sendTray("/tray")
	aoi.get(shot).must(s, http.StatusOK, "Received", "Photos before yours: 0", `<noscript><meta http-equiv="refresh" content="3"></noscript>`, `role="status"`)
	if got := aoi.get(shot + "?live"); got.header.Get("Settled") != "" || strings.Contains(got.body, "<html") {
		t.Errorf("the live part of a photo that waits: %v\n%s", got.header, got.body)
	}
	aoi.header.Set("If-None-Match", aoi.get(shot+"?live").header.Get("ETag"))
	if got := aoi.get(shot + "?live"); got.status != http.StatusNotModified {
		t.Errorf("the live part again: %d", got.status)
	}
	s.measure(madeUp)
	if got := aoi.get(shot + "?live"); got.header.Get("Settled") != "yes" {
		t.Error("the live part does not say that the photo is measured")
	}
	result := aoi.get(shot)
	result.must(s, http.StatusOK, "<b>1</b> good", "<b>1</b> again", "<b>2</b> not measured", "Turn the knife more across the block", "turn the knife &lt;i&gt;", `href="`+shot+`/slices/2" data-sheet aria-label="Slice 2: again. 10 mm too long"`,
		"80.0 × 35.0 mm", "touches its neighbour", "parasites", "mirrors")
	result.lacks(s, "override", "noscript")
	slice := aoi.get(shot + "/slices/2")
	slice.must(s, http.StatusOK, "Slice 2: again", "10 mm too long.", "90.0", "± 0.5", ">75<", "aim 80", ">85<", shot+"/slices/1", shot+"/slices/3", shot+"/view?r=")
	slice.lacks(s, "override", "°")
	aoi.get(shot+"/slices/9").must(s, http.StatusNotFound)
	aoi.get("/past").must(s, http.StatusOK, shot, "4 slices: 1 good, 1 again, 2 not measured")
	aoi.header.Set("Accept-Language", "ja")
	aoi.get(shot).must(s, http.StatusOK, "<b>1</b> よし", "<b>2</b> 計測なし", "もう一度", "包丁をもっとサクと直角に近づける", "10 mm 長い", "寄生虫", "光が映り込んで")

	aoi.header = http.Header{}
	for label, warned := range map[string]bool{"Tray 01": false, "Tray 02": true, "Tray 99": false} {
		shot = aoi.sendTray("/tray")
		s.measure(func(x intake.Shot) piece.Tray {
			r := madeUp(x)
			r.Mat.Label = label
			return r
		})
		got := aoi.get(shot)
		got.lacks(s, "Bo Test")
		if strings.Contains(got.body, "which is not yours") != warned {
			t.Errorf("label %q, warned: %v\n%s", label, !warned, got.body)
		}
	}
	shot = aoi.sendTray("/tray")
	s.measure(refusedReport)
	aoi.get(shot).must(s, http.StatusOK, "This photo cannot be measured", "No printed mat is in the picture", "Lay it", "Take it again", "Hold the phone flat")
	aoi.get(shot+"/picture").must(s, http.StatusOK)
}

// A photo that could not be measured says so, and what was wrong with what was
// entered.
func TestFailed(t *testing.T) {
	e := newEverybody(t)
	for code, want := range map[string]string{intake.CodeEntered: "is given for slice 7", intake.CodeStopped: "stopped over this photo", intake.CodeSlow: "too long to measure", intake.CodeMistake: "made a mistake"} {
		shot := e.aoi.sendTray("/tray")
		x, _, err := e.folder.Next(context.Background())
		fatal.If(t, err)
		fatal.If(t, e.folder.Fail(context.Background(), x, code, phrase.Named("given-other", "what-thickness", "1, 2 <b>").With(7)))
		got := e.aoi.get(shot)
		got.must(e.site, http.StatusOK, "was not measured", want, "What to do", "Take it again")
		got.lacks(e.site, "2 <b>")
		e.aoi.header = http.Header{"Accept-Language": {"ja"}}
		wholly(t, code, strings.ReplaceAll(e.aoi.get(shot).body, "2 &lt;b&gt;", "2"))
		e.aoi.header = nil
		e.aoi.get(shot+"/picture").must(e.site, http.StatusNotFound)
	}
}

// What was entered is checked before the photo is taken in.
func TestEntered(t *testing.T) {
	e := newEverybody(t)
	for name, f := range map[string]map[string]string{
		"both":      {"thickness": "4.2", "tray-weight": "80"},
		"not mm":    {"thickness": "thick"},
		"too thick": {"thickness": "4200"},
		"no fish":   {"species": "<b>unicorn</b>"},
	} {
		got := e.aoi.send("/tray", f, "a.jpg", freshPhoto())
		got.must(e.site, http.StatusUnprocessableEntity, "data-why")
		got.lacks(e.site, "<b>unicorn")
		_ = name
	}
	if n, _ := e.folder.Waiting(context.Background()); n != 0 {
		t.Errorf("%d photos were taken in", n)
	}
	got := e.aoi.send("/tray", map[string]string{"thickness": "４，２"}, "a.jpg", freshPhoto())
	if got.status != http.StatusSeeOther {
		t.Fatalf("full-width digits: %d\n%s", got.status, got.body)
	}
	x, err := e.folder.Shot(context.Background(), strings.TrimPrefix(got.header.Get("Location"), "/shots/"))
	if err != nil || x.Ticket.Thickness != "4.2" || x.Ticket.Species != "salmon" {
		t.Errorf("the photo was told %+v, %v", x.Ticket, err)
	}
}

// What is not taken in says why, with a status of its own.
func TestNotTakenIn(t *testing.T) {
	e := newEverybody(t)
	for name, x := range map[string]struct {
		file    string
		content []byte
		status  int
		says    string
	}{
		"no photo chosen": {"", nil, http.StatusUnprocessableEntity, "Choose a photo first"},
		"text":            {"a.jpg", []byte("no photo"), http.StatusUnsupportedMediaType, "JPEG, PNG or HEIC"},
		"empty":           {"a.jpg", nil, http.StatusUnsupportedMediaType, "JPEG, PNG or HEIC"},
		"page":            {"a.html", []byte("<script>alert(1)</script>"), http.StatusUnsupportedMediaType, "JPEG, PNG or HEIC"},
	} {
		got := e.aoi.send("/tray", nil, x.file, x.content)
		if got.status != x.status || !strings.Contains(got.body, x.says) {
			t.Errorf("%s: %d, want %d with %q\n%s", name, got.status, x.status, x.says, got.body)
		}
	}
	e.folder.Limits.Bytes = 1000
	e.aoi.send("/tray", nil, "a.jpg", append(freshPhoto(), make([]byte, 4000)...)).must(e.site, http.StatusRequestEntityTooLarge, "too large")
	e.folder.Limits.Bytes = 1 << 20
	e.folder.Limits.Waiting = 0
	busy := e.aoi.send("/tray", nil, "a.jpg", freshPhoto())
	busy.must(e.site, http.StatusServiceUnavailable, "Busy, try again in a minute", "Keep it and send it again")
	if busy.header.Get("Retry-After") != "60" {
		t.Errorf("Retry-After %q", busy.header.Get("Retry-After"))
	}
	e.folder.Limits.Waiting, e.folder.Limits.Free = 200, 1<<60
	e.aoi.send("/tray", nil, "a.jpg", freshPhoto()).must(e.site, http.StatusInsufficientStorage, "disk of the server is full")
	e.said.Reset() // a full disk is written down
	for kind, body := range map[string]string{"": "x", "multipart/form-data": "x", "multipart/form-data; boundary=b": "--b\r\nx", "application/x-www-form-urlencoded": "photo=x"} {
		if got := e.aoi.do("POST", "/tray", kind, strings.NewReader(body)); got.status != http.StatusBadRequest {
			t.Errorf("a form of kind %q: %d", kind, got.status)
		}
	}
	long := map[string]string{"thickness": strings.Repeat("4", 5000)}
	e.aoi.send("/tray", long, "a.jpg", freshPhoto()).must(e.site, http.StatusBadRequest)
	e.stranger.do("POST", "/join", "application/x-www-form-urlencoded", strings.NewReader("code="+strings.Repeat("1", 2<<20))).must(e.site, http.StatusForbidden)
}

// The instructor's path: the board follows, an override counts, a roster and a
// standard are checked.
func TestInstructorsPath(t *testing.T) {
	e := newEverybody(t)
	e.soon("the board with two photos", func() bool {
		return strings.Contains(e.teacher.get("/class?live").body, "8 slices: 2 good, 2 again, 4 not measured")
	})
	board := e.teacher.get("/class")
	board.must(e.site, http.StatusOK, "Aoi Test", "No photo of: Bo Test", "Monday, 2026-11-25")
	override := func(f url.Values) answer { return e.teacher.post(e.aoiShot+"/override", f) }
	for _, f := range []url.Values{
		{"piece": {"2"}, "kind": {"not-a-slice"}, "reason": {"  "}}, {"piece": {"9"}, "kind": {"not-a-slice"}, "reason": {"skin"}},
		{"piece": {"2"}, "kind": {"pass"}, "reason": {"skin"}}, {"piece": {"2"}, "kind": {"not-a-slice"}, "reason": {strings.Repeat("x", 300)}}, {},
	} {
		override(f).must(e.site, http.StatusUnprocessableEntity, "give a reason")
	}
	override(url.Values{"piece": {"2"}, "kind": {"not-a-slice"}, "reason": {"a scrap of skin"}}).must(e.site, http.StatusSeeOther)
	e.teacher.get(e.aoiShot).must(e.site, http.StatusOK, "decided by hand: not a slice", "<b>1</b> good", "<b>2</b> not measured")
	e.aoi.get(e.aoiShot+"/slices/2").must(e.site, http.StatusOK, "decided by hand: not a slice", "a scrap of skin")
	e.teacher.get("/class").must(e.site, http.StatusOK, "7 slices: 2 good, 1 again, 4 not measured")
	override(url.Values{"piece": {"2"}, "kind": {"as-measured"}}).must(e.site, http.StatusSeeOther)
	e.teacher.get("/class").must(e.site, http.StatusOK, "8 slices: 2 good, 2 again, 4 not measured")

	if got := e.teacher.post(e.aoiShot+"/again", url.Values{"thickness": {"5"}}); got.status != http.StatusSeeOther {
		t.Errorf("measure anew: %d", got.status)
	}
	e.measure(madeUp)
	x, err := e.folder.Shot(context.Background(), e.aoiShot[7:])
	if err != nil || x.Ticket.Thickness != "5" || x.Turn != 1 || x.State != intake.Measured {
		t.Errorf("measured anew: %+v, %v", x, err)
	}
}

// A class keeps its day; an earlier one can be opened again as it was.
func TestEarlierClasses(t *testing.T) {
	e := newEverybody(t)
	e.teacher.post("/class", url.Values{"class": {"Monday"}, "day": {"2026-11-26"}}).must(e.site, http.StatusUnprocessableEntity, "was held on 2026-11-25")
	e.teacher.post("/class", url.Values{"class": {" "}, "day": {"2026-11-26"}}).must(e.site, http.StatusUnprocessableEntity, "needs a name")
	e.teacher.post("/class", url.Values{"class": {"X"}, "day": {"soon"}}).must(e.site, http.StatusUnprocessableEntity, "needs a name")
	e.teacher.post("/class", url.Values{"class": {"X"}, "day": {"2026-11-26"}, "thickness": {"thick"}}).must(e.site, http.StatusUnprocessableEntity, "thick")
	again := url.Values{"class": {"Monday"}, "day": {"2026-11-25"}, "species": {"tuna"}}
	e.teacher.post("/class", again).must(e.site, http.StatusConflict, "a class called Monday", `name="same" value="yes"`, `name="species" value="tuna"`)
	if c, err := e.folder.Session(t.Context(), intake.Class, "Monday"); err != nil || c.Ticket.Species != "salmon" {
		t.Errorf("before anybody said yes the class cuts %q, %v", c.Ticket.Species, err)
	}
	again.Set("same", "yes")
	e.teacher.post("/class", again).must(e.site, http.StatusSeeOther)
	if c, err := e.folder.Session(t.Context(), intake.Class, "Monday"); err != nil || c.Ticket.Species != "tuna" {
		t.Errorf("the class cuts %q, %v", c.Ticket.Species, err)
	}
	e.teacher.post("/class", url.Values{"class": {"Tuesday & more"}, "day": {"2026-11-26"}}).must(e.site, http.StatusSeeOther)
	e.teacher.get("/class").must(e.site, http.StatusOK, "Tuesday &amp; more, 2026-11-26", `href="/class/earlier?class=Monday"`)
	// It is seen and taken along as it ended, while photos go to the other.
	e.teacher.get("/class/earlier?class=Monday").must(e.site, http.StatusOK, "2026-11-25", "8 slices: 2 good, 2 again, 4 not measured", e.aoiShot, `href="/files/class.pdf?class=Monday"`)
	e.teacher.get("/class/earlier?class=Tuesday+%26+more").must(e.site, http.StatusOK, "Tuesday &amp; more")
	e.teacher.get("/class/earlier?class=Nowhere").must(e.site, http.StatusNotFound)
	e.teacher.get("/files/class.pdf?class=Nowhere").must(e.site, http.StatusNotFound)
	if paper := zippedFile(t, e.teacher.get("/files/class.zip?class=Monday").body, "board.html"); !strings.Contains(paper, "Aoi Test") || strings.Contains(paper, "Bo Test") {
		t.Error("the earlier class's board is not as it ended")
	}
	e.aoi.get("/tray").must(e.site, http.StatusOK, "Tuesday &amp; more · Aoi Test")
	e.teacher.post("/class/again", url.Values{"class": {"Nowhere"}}).must(e.site, http.StatusNotFound)
	e.teacher.post("/class/again", url.Values{"class": {"Monday"}}).must(e.site, http.StatusSeeOther)
	e.teacher.get("/class?all").must(e.site, http.StatusOK, "Monday, 2026-11-25", e.aoiShot)
	e.aoi.get("/tray").must(e.site, http.StatusOK, "Monday · Aoi Test")
}

var wasField = regexp.MustCompile(`name="was" value="([0-9a-f]+)"`)

// edit saves a text as the form does.
func (v *visitor) edit(path, text string) answer {
	v.Helper()
	was := wasField.FindStringSubmatch(v.get(path).body)
	if was == nil {
		v.Fatalf("%s has no form", path)
	}
	return v.post(path, url.Values{"was": {was[1]}, "text": {text}, "gone": {"yes"}})
}

func TestRoster(t *testing.T) {
	e := newEverybody(t)
	e.teacher.edit("/roster", "label,name\nTray 01,\n").must(e.site, http.StatusUnprocessableEntity, "Not saved", "Line 2", "a label and a name are needed")
	e.teacher.get("/roster").must(e.site, http.StatusOK, "Aoi Test")
	e.teacher.edit("/roster", "label,name\r\nTray 09,Chi Test\r\n").must(e.site, http.StatusSeeOther)
	e.teacher.get("/people").must(e.site, http.StatusOK, "Chi Test")
	e.teacher.get("/people").lacks(e.site, "Bo Test")
	e.bo.get("/tray").must(e.site, http.StatusUnauthorized)
	e.teacher.edit("/roster", "label,name,minutes\r\nTray 09,Aoi Test,12\r\n").must(e.site, http.StatusSeeOther)
	run, err := e.folder.Run(context.Background(), "Monday")
	fatal.If(t, err)
	if m, err := e.folder.Book().Pace(context.Background(), run.Session); err != nil || m["Aoi Test"] != 12 {
		t.Errorf("the minutes are %v, %v", m, err)
	}
	e.teacher.edit("/roster", "label,name\nTray 09,Chi Test\n").must(e.site, http.StatusSeeOther)
	behind := e.teacher.post("/roster", url.Values{"was": {strings.Repeat("0", 64)}, "text": {"label,name\nTray 01,Mine\n"}, "gone": {"yes"}})
	behind.must(e.site, http.StatusConflict, "Somebody else saved", "Mine")
	if text, _ := os.ReadFile(filepath.Join(e.folder.Dir(), settings.Roster)); string(text) != "label,name\nTray 09,Chi Test\n" {
		t.Errorf("the roster is %q", text)
	}
}

func TestStandard(t *testing.T) {
	e := newEverybody(t)
	e.teacher.edit("/standard", "name = \"house\"\nlenght = 3\n").must(e.site, http.StatusUnprocessableEntity, "Not saved", "lenght")
	e.teacher.edit("/standard", "name = \"house\"\n[length_mm]\nlow = 90\naim = 80\nhigh = 70\n").must(e.site, http.StatusUnprocessableEntity, "Not saved")
	e.teacher.keepStandard(e.teacher.edit("/standard", "name = \"house\"\n[length_mm]\nlow = 85\naim = 90\nhigh = 95\n"))
	ctx := context.Background()
	class, err := e.folder.Session(ctx, intake.Class, "Monday")
	if err != nil || class.Ticket.Standard.Name != "house" || class.Ticket.Standard.Length != (standard.Limits{Low: 85, Aim: 90, High: 95}) {
		t.Errorf("the class is held against %+v, %v", class.Ticket.Standard.Length, err)
	}
	line, _ := e.folder.Session(ctx, intake.Line, "lunch")
	if line.Ticket.Standard.Name != "house" {
		t.Errorf("the line is held against %q", line.Ticket.Standard.Name)
	}
	if n, _ := e.folder.Waiting(ctx); n != 2 {
		t.Errorf("%d photos are measured anew, want the class's 2", n)
	}
	// Until then the results from before stay, and nothing mixes both.
	e.teacher.get("/class").must(e.site, http.StatusOK, "Updating: 0 of 2 photos", "8 slices: 2 good, 2 again, 4 not measured")
	e.aoi.get(e.aoiShot).must(e.site, http.StatusOK, "measured anew", "<b>1</b> good")
	e.teacher.get("/files").must(e.site, http.StatusOK, "Updating: 0 of 2", `data-live="/files?live"`)
	for _, name := range []string{"class.pdf", "class.xlsx", "class.zip"} {
		got := e.teacher.get("/files/" + name)
		if got.must(e.site, http.StatusServiceUnavailable, "Files wait until all are"); got.header.Get("Retry-After") == "" {
			t.Errorf("%s: not said when to ask again", name)
		}
	}
	e.measure(madeUp)
	e.aoi.get(e.aoiShot).must(e.site, http.StatusOK)
	e.teacher.get("/class").lacks(e.site, "Updating")
	e.teacher.get("/files/class.pdf").must(e.site, http.StatusOK, "%PDF-")
}

func TestPeople(t *testing.T) {
	e := newEverybody(t)
	e.chef, e.teacher = e.withPasscode(account.Chef), e.withPasscode(account.Instructor)
	made := e.teacher.made("/people/passcodes", url.Values{"name": {"Night chef"}, "role": {"chef"}})
	made.must(e.site, http.StatusOK, "not shown again")
	code := regexp.MustCompile(`Passcode for Night chef:</p><p class="code">([a-z0-9-]+)`).FindStringSubmatch(made.body)
	if code == nil {
		t.Fatalf("no passcode was shown\n%s", made.body)
	}
	e.teacher.get("/people").lacks(e.site, code[1])
	night := e.visitor()
	night.post("/signin", url.Values{"name": {"Night chef"}, "passcode": {code[1]}}).must(e.site, http.StatusSeeOther)
	night.get("/line").must(e.site, http.StatusOK)
	e.teacher.post("/people/passcodes", url.Values{"name": {"Night chef"}, "role": {"chef"}}).must(e.site, http.StatusUnprocessableEntity, "has a passcode already")
	e.teacher.post("/people/passcodes", url.Values{"name": {"X"}, "role": {"trainee"}}).must(e.site, http.StatusUnprocessableEntity)
	e.teacher.post("/people/passcodes/remove", url.Values{"id": {"1"}}).must(e.site, http.StatusOK, "signed out everywhere")
	e.chef.get("/line").must(e.site, http.StatusOK)
	e.teacher.made("/people/passcodes/remove", url.Values{"id": {"1"}, "sure": {"yes"}}).must(e.site, http.StatusOK, "is removed", "/people/passcodes/back") // the chef's
	e.chef.get("/line").must(e.site, http.StatusUnauthorized)
	e.teacher.post("/people/passcodes/remove", url.Values{"id": {"2"}, "sure": {"yes"}}).must(e.site, http.StatusUnprocessableEntity, "last instructor")

	e.teacher.get("/people").must(e.site, http.StatusOK, `href="/people/links"`)
	e.teacher.get("/people/links").must(e.site, http.StatusOK, "out of use", `method="post" action="/people/links"`)
	to := e.teacher.post("/people/links", url.Values{"name": {"Bo Test"}}).header.Get("Location")
	sheet := e.teacher.get(to)
	if again := e.teacher.get(to); again.body != sheet.body { // loading it anew makes no link
		t.Error("the sheet of links is another when it is loaded anew")
	}
	link := regexp.MustCompile(`http://192\.0\.2\.7:8080(/t/[\w-]+)`).FindStringSubmatch(sheet.body)
	if link == nil {
		t.Fatalf("no link with the address that phones reach\n%s", sheet.body)
	}
	bo := e.visitor()
	bo.get(link[1]).must(e.site, http.StatusSeeOther)
	bo.get("/tray").must(e.site, http.StatusOK, "Bo Test")
	e.bo.get("/tray").must(e.site, http.StatusUnauthorized) // the old link is out
	e.teacher.post("/people/links", url.Values{"name": {"Nobody"}}).must(e.site, http.StatusNotFound)
}

// What is taken along opens, and holds no photo as it came.
func TestFiles(t *testing.T) {
	e := newEverybody(t)
	if got := e.teacher.get("/files/class.pdf"); !strings.HasPrefix(got.body, "%PDF-") || !strings.Contains(got.header.Get("Content-Disposition"), "attachment") {
		t.Errorf("class.pdf: %v", got.header)
	}
	if got := e.teacher.get("/files/book.json"); !strings.Contains(got.body, `"Monday"`) {
		t.Errorf("book.json lacks the class")
	}
	zipped := e.teacher.get("/files/class.zip").body
	for _, want := range []string{"board.html", "class.pdf", "class.xlsx", "pieces.csv", "trainees/01-aoi-test.html"} {
		zippedFile(t, zipped, want)
	}
}

// zippedFile is the text of a file in an archive, which must be there.
func zippedFile(t *testing.T, zipped, name string) string {
	t.Helper()
	z, err := zip.NewReader(strings.NewReader(zipped), int64(len(zipped)))
	fatal.If(t, err)
	f, err := z.Open(name)
	fatal.If(t, err)
	text, err := io.ReadAll(f)
	fatal.If(t, err)
	return string(text)
}

// The chef's path: two checks make today's charts.
func TestChefsPath(t *testing.T) {
	e := newEverybody(t)
	e.chef.get("/line").must(e.site, http.StatusOK, "takes two checks")
	e.chef.send("/line", map[string]string{"thickness": "4.2", "who": "Station 2"}, "a.jpg", freshPhoto())
	e.measure(func(x intake.Shot) piece.Tray {
		r := madeUp(x)
		r.Pieces[0].Length.X = 78
		return r
	})
	page := e.chef.get("/line")
	page.must(e.site, http.StatusOK, "Station 2", `src="/line/length-mean.svg"`, "a check lies between", "No signal")
	for _, chart := range []string{"length-mean", "length-s", "width-mean", "weight-mean", "weight-s"} {
		if got := e.chef.get("/line/" + chart + ".svg"); got.status != http.StatusOK || got.header.Get("Content-Type") != "image/svg+xml" || !strings.Contains(got.body, "<svg") {
			t.Errorf("%s: %d %v", chart, got.status, got.header)
		}
	}
	e.chef.get("/line/length.svg").must(e.site, http.StatusNotFound)
	e.chef.get("/line/length-mean.png").must(e.site, http.StatusNotFound)

	made := e.chef.get("/plan?length=240&width=56&height=20&species=salmon&hand=right&tail=left")
	made.must(e.site, http.StatusOK, "slices to serve", "<svg", "sheet.pdf?")
	sheet := regexp.MustCompile(`href="(/plan/sheet\.pdf\?[^"]+)"`).FindStringSubmatch(made.body)
	if sheet == nil {
		t.Fatal("the plan has no sheet")
	}
	if got := e.chef.get(html.UnescapeString(sheet[1])); !strings.HasPrefix(got.body, "%PDF-") {
		t.Errorf("the sheet is no PDF: %d", got.status)
	}
	e.chef.get("/plan?length=240&width=70&height=4%2F13%2F22").must(e.site, http.StatusOK, "slices to serve")
	e.chef.get("/plan?length=240&width=92&height=20").must(e.site, http.StatusUnprocessableEntity, "Trim or split")
	e.chef.get("/plan?length=240&width=56&height=x").must(e.site, http.StatusUnprocessableEntity, "numbers of mm")
	e.chef.get("/plan/sheet.pdf?length=1").must(e.site, http.StatusUnprocessableEntity)
}

// A grade in two classes makes a trend; the class code shows none.
func TestTrend(t *testing.T) {
	s := newSite(t)
	teacher, aoi := s.role(account.Instructor), s.trainee("Aoi Test")
	for i, day := range []string{"2026-11-18", "2026-11-25"} {
		got := teacher.post("/class", url.Values{"class": {"Class " + day}, "day": {day}})
		got.must(s, http.StatusSeeOther)
		aoi.sendTray("/tray")
		s.measure(func(x intake.Shot) piece.Tray {
			r := madeUp(x)
			if i == 1 {
				r.Pieces[1].Length.X, r.Pieces[1].Faults, r.Pieces[1].Verdict = 80, nil, piece.Pass
				r.Pieces = r.MeasuredPieces() // one that was not measured counts as failed
			}
			return r
		})
	}
	s.soon("a trend", func() bool { return strings.Contains(aoi.get("/past").body, "trend.svg") })
	text := aoi.get("/past").body
	alt := regexp.MustCompile(`oldest first: (\d+), (\d+)`).FindStringSubmatch(text)
	if alt == nil || len(alt[1]) != 2 || alt[2] != "100" { // the second tray has no fault
		t.Errorf("the trend in words: %v\n%s", alt, text)
	}
	if got := aoi.get("/past/trend.svg"); !strings.Contains(got.body, "<svg") {
		t.Errorf("the trend's drawing: %d", got.status)
	}
}

// Strangers' bytes of every sort, one after another: each gets an answer that
// says why, nothing is taken in, and nothing is left behind.
func TestMalformedUploads(t *testing.T) {
	e := newEverybody(t)
	e.server.sending = gate.NewThrottle(gate.Budget{Burst: 1 << 30, Wait: 1}, gate.Budget{}, 1<<30)
	before := files(t, e.folder.Dir())
	n := 1000
	if testing.Short() {
		n = 50
	}
	rnd := rand.New(rand.NewPCG(7, 1))
	for i := range n {
		content := smallPicture()
		if i%40 < 4 {
			content = padded(content, phoneBytes)
		}
		switch i % 4 {
		case 0:
			content = content[:rnd.IntN(100)] // cut short in the header
		case 1:
			for range 20 {
				content[rnd.IntN(160)] ^= byte(1 + rnd.IntN(255))
			}
			content[0] = 0 // and no JPEG any more
		case 2:
			content = make([]byte, rnd.IntN(5000))
			for j := range content {
				content[j] = byte(rnd.Uint32())
			}
		case 3:
			content = append([]byte("\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR\xff\xff\xff\xff\xff\xff\xff\xff"), content...)
		}
		got := e.aoi.send("/tray", nil, "a.jpg", content)
		if got.status != http.StatusUnsupportedMediaType && got.status != http.StatusRequestEntityTooLarge {
			t.Fatalf("upload %d of %d bytes: %d\n%s", i, len(content), got.status, got.body)
		}
	}
	if after := files(t, e.folder.Dir()); after != before {
		t.Errorf("%d files in the data folder before, %d after", before, after)
	}
}

func files(t *testing.T, dir string) (n int) {
	t.Helper()
	err := filepath.WalkDir(dir, func(_ string, d fs.DirEntry, err error) error {
		if err == nil && !d.IsDir() {
			n++
		}
		return err
	})
	fatal.If(t, err)
	return n
}
