package main

import (
	"fmt"
	"io"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"testing"
	"time"

	"netagauge/internal/command"
	"netagauge/internal/core/fatal"
	"netagauge/internal/keep/historytest"
)

// years is a history of 100,000 trays: a class a week for eight years, and spot
// checks on the line. Their reports are small (historytest says how small).
var years = historytest.Size{Classes: 200, Trays: 400, Trainees: 20, Checks: 20_000}

// looks is how often each page is asked for.
const looks = 20

// A kitchen's history of years does not slow its pages: each within 300 ms, 95 times
// in 100, asked for after a change; the server has less than 150 MB, also while the
// whole book is downloaded. It takes minutes, so it runs only when NETAGAUGE_LONG is set.
func TestHistoryOfYears(t *testing.T) {
	if os.Getenv("NETAGAUGE_LONG") == "" {
		t.Skip("set NETAGAUGE_LONG to look at the pages over 100,000 trays")
	}
	if asked, _ := strconv.Atoi(os.Getenv("NETAGAUGE_LONG")); asked > 1 { // this many classes
		years.Checks = years.Checks * asked / years.Classes
		years.Classes = asked
	}
	program := programFile(t)
	data := filepath.Join(t.TempDir(), "kitchen")
	began := time.Now()
	fatal.If(t, historytest.Fill(t.Context(), data, command.VersionOf(program), years))
	t.Logf("%d trays made in %.0f s", years.All(), time.Since(began).Seconds())
	began = time.Now()
	l := load{T: t, server: serveRecord(t, program, []string{"--data", data})}
	t.Logf("the server began in %.1f s with %d MB", time.Since(began).Seconds(), memoryOf(l.process.Pid).server)
	pages := l.everyPage()
	l.get(pages[0].who, "/class")
	for _, p := range pages {
		var took []time.Duration
		size := 0
		for i := range looks {
			l.change(pages[0].who, i)
			from := time.Now()
			size = len(l.get(p.who, p.path))
			took = append(took, time.Since(from))
		}
		slices.Sort(took)
		p95 := took[len(took)*95/100-1]
		t.Logf("%-10s %-30s median %4d ms, p95 %4d ms, most %4d ms, %7d bytes; server %d MB", p.role, shortPath(p.path), took[len(took)/2].Milliseconds(), p95.Milliseconds(), took[len(took)-1].Milliseconds(), size, memoryOf(l.process.Pid).server)
		if p95 > 300*time.Millisecond {
			t.Errorf("%s %s: p95 is %v, above 300 ms", p.role, p.path, p95)
		}
		if m := memoryOf(l.process.Pid).server; m > 150 {
			t.Errorf("after %s %s the server has %d MB", p.role, p.path, m)
		}
	}
	for _, name := range []string{"class.pdf", "class.xlsx", "class.zip", "book.json"} {
		l.download(pages[0].who, "/files/"+name)
	}
}

func shortPath(path string) string {
	if len(path) > 30 {
		return path[:29] + "…"
	}
	return path
}

// onePage is a page and who asks for it.
type onePage struct {
	role string
	who  *http.Client
	path string
}

// everyPage lists the pages that GET has, by role; the first is an instructor's.
func (l load) everyPage() (out []onePage) {
	teacher, chef, aoi, code, stranger := l.client(), l.client(), l.client(), l.client(), l.client()
	l.post(teacher, "/signin", url.Values{"name": {"instructor"}, "passcode": {l.passcode}})
	made := l.post(teacher, "/people/passcodes", url.Values{"name": {"chef"}, "role": {"chef"}})
	passcode := regexp.MustCompile(`role="status"><p>Passcode for chef:</p><p class="code">([^<]+)</p>`).FindStringSubmatch(made)
	if passcode == nil {
		l.Fatalf("no passcode for a chef:\n%s", made)
	}
	l.post(chef, "/signin", url.Values{"name": {"chef"}, "passcode": {passcode[1]}})
	link := regexp.MustCompile(`<code>http://[^/]+(/t/[\w-]+)</code>`).FindStringSubmatch(l.post(teacher, "/people/links", url.Values{"name": {historytest.Trainee(0)}}))
	l.get(aoi, link[1])
	l.post(aoi, "/mine", url.Values{"name": {"yes"}})
	l.post(code, "/join", url.Values{"code": {l.code}, "name": {historytest.Trainee(1)}})
	l.post(code, "/mine", url.Values{"name": {"yes"}})
	newest := (years.Classes*years.Trays - years.Trainees) / years.Trainees * years.Trainees // the first trainee's last tray
	tray, check := "/shots/"+historytest.ID(newest), "/shots/"+historytest.ID(years.All()-1)
	before := fmt.Sprint("?before=", years.All()/2)
	for _, x := range []struct {
		role  string
		who   *http.Client
		paths []string
	}{
		{"instructor", teacher, []string{"/class", "/class?live", "/class?all", "/roster", "/standard", "/people", "/mat", "/files", "/line", "/line?all", "/line/weight-mean.svg?all", "/line/length-s.svg", "/plan", tray, tray + "?live", check}},
		{"chef", chef, []string{"/line", "/line?all", "/line/weight-mean.svg", "/line/weight-s.svg?all", "/plan", check}},
		{"trainee", aoi, []string{"/tray", "/past", "/past" + before, "/past/trend.svg", tray}},
		{"by code", code, []string{"/tray", "/past"}},
		{"stranger", stranger, []string{"/", "/install"}},
	} {
		for _, path := range x.paths {
			out = append(out, onePage{x.role, x.who, path})
		}
	}
	return out
}

// change is an instructor's decision about a tray of the open class.
func (l load) change(teacher *http.Client, n int) {
	l.Helper()
	tray := (years.Classes-1)*years.Trays + n%years.Trays
	l.post(teacher, "/shots/"+historytest.ID(tray)+"/override", url.Values{"piece": {"2"}, "kind": {[]string{"not-a-slice", "count-it"}[n/7%2]}, "reason": {fmt.Sprint("reason ", n)}})
}

// download reads a file to its end and looks at the server's memory meanwhile.
func (l load) download(c *http.Client, path string) {
	l.Helper()
	from := time.Now()
	a, err := c.Get(l.base + path)
	if err != nil {
		l.Error(err)
		return
	}
	defer a.Body.Close()
	first := time.Since(from)
	most, size := 0, int64(0)
	for err == nil {
		var n int64
		n, err = io.CopyN(io.Discard, a.Body, 16<<20)
		size += n
		most = max(most, memoryOf(l.process.Pid).server)
	}
	if err != io.EOF || a.StatusCode != http.StatusOK {
		l.Errorf("%s: %s, %v", path, a.Status, err)
	}
	l.Logf("%-30s first byte after %.1f s, whole after %.1f s, %d MB; server %d MB at most", path, first.Seconds(), time.Since(from).Seconds(), size>>20, most)
	if most > 150 {
		l.Errorf("while %s was read the server had %d MB", path, most)
	}
}
