package serve

import (
	"encoding/json"
	"fmt"
	"net/http"
	"net/url"
	"os"
	"regexp"
	"runtime"
	"strings"
	"testing"

	"netagauge/internal/core/fatal"
	"netagauge/internal/keep/account"
	"netagauge/internal/keep/historytest"
)

// years is a history of so many classes of thirty trays, and fifty times as many
// spot checks.
func years(classes int) historytest.Size {
	return historytest.Size{Classes: classes, Trays: 30, Trainees: 5, Checks: 50 * classes}
}

// cost is what a page makes the process read and allocate, in bytes: of the folder's
// files (and of the little that goes over the network), and of memory in all.
type cost struct{ read, made int64 }

// No page reads or makes more for a history that is ten times as long: asked for
// after a change, each costs less than twice as much as before. Byte counts, since
// clocks tell of the machine.
func TestPagesCostNoMoreForALongHistory(t *testing.T) {
	few, many := pageCosts(t, years(4)), pageCosts(t, years(40))
	const slack = 128 << 10 // the grades of earlier classes, and what else runs
	for page, after := range many {
		before := few[page]
		t.Logf("%-45s read %7d, then %7d; made %8d, then %8d", page, before.read, after.read, before.made, after.made)
		if after.read > 2*before.read+slack || after.made > 2*before.made+2*slack {
			t.Errorf("%s: with ten times the history it reads %d bytes in place of %d and makes %d in place of %d", page, after.read, before.read, after.made, before.made)
		}
	}
	everyRoute(t, many)
}

func pageCosts(t *testing.T, size historytest.Size) map[string]cost {
	t.Helper()
	dir := t.TempDir()
	fatal.If(t, historytest.Fill(t.Context(), dir, "test", size))
	s := siteOf(t, dir, historytest.Line)
	s.said.Reset() // it says that it sums up the classes
	all, shown := everyPage(s, size)
	changes := 0
	out := map[string]cost{}
	for _, v := range all {
		for _, path := range v.paths {
			least := cost{1 << 62, 1 << 62}
			for range 3 { // what runs beside it only adds
				changes++
				decideAnew(all[0].who, size, changes)
				before := spent(t)
				v.who.get(path).must(s, http.StatusOK)
				after := spent(t)
				least = cost{min(least.read, after.read-before.read), min(least.made, after.made-before.made)}
			}
			path, _, _ = strings.Cut(shown.Replace(path), "before=")
			out[v.name+" "+path] = least
		}
	}
	return out
}

// asked4test are pages that somebody asks for.
type asked4test struct {
	name  string
	who   *visitor
	paths []string
}

// everyPage lists the pages that GET has, by who asks, first an instructor, and how their
// paths are shown.
func everyPage(s *site, size historytest.Size) ([]asked4test, *strings.Replacer) {
	teacher, chef := s.role(account.Instructor), s.role(account.Chef)
	tray, check := size.Classes*size.Trays-size.Trainees, "/shots/"+historytest.ID(size.All()-1)
	shot := "/shots/" + historytest.ID(tray)
	_, sitter, _, err := s.folder.Book().ExamOf(s.Context(), historytest.Trainee(0))
	fatal.If(s, err)
	sat, closed := fmt.Sprint("/exams/", size.Exams()), fmt.Sprint("/exams/", size.Exams()-1)
	sent := fmt.Sprint(sat, "/trays/", sitter, "/1")
	return []asked4test{
		{"instructor", teacher, []string{"/class", "/class/wall", "/class/hand?name=" + url.QueryEscape(historytest.Trainee(0)), "/files/hands.csv", "/class/eyes", "/tasks", "/exams", "/exams?from=2", sat, sat + "?live", sat + "/close", closed, closed + "/record.json", sent, "/class?live", "/class?all", "/class?classes=2", "/class/earlier?class=" + url.QueryEscape(historytest.Class(0)), "/roster", "/standard", "/people", "/people/links", "/people/forget", "/people/keeping", "/mat", "/files", shot, shot + "?live", shot + "/slices/1", shot + "/second", check}},
		{"chef", chef, []string{"/line", "/line?all", fmt.Sprint("/line?all&before=", size.Checks-60), "/line/weight-mean.svg?all", "/line/length-s.svg", "/plan", "/blocks", "/yield", "/shift", check}},
		{"trainee", s.trainee(historytest.Trainee(0)), []string{"/tray", "/past", fmt.Sprint("/past?before=", tray/2), "/past/trend.svg", "/mine", "/mine/delete", "/hand", "/eye", "/eye/deck", "/eye/trend.svg", "/exam", shot}},
		{"by code", s.joined(historytest.Trainee(1)), []string{"/tray", "/past"}},
		{"stranger", s.visitor(), []string{"/", "/install"}},
	}, strings.NewReplacer(shot, "/shots/tray", check, "/shots/check", sent, "/exams/last/trays/number/1", sat, "/exams/last", closed, "/exams/closed")
}

// decideAnew decides something about a tray of the last class.
func decideAnew(teacher *visitor, size historytest.Size, n int) {
	tray := size.Classes*size.Trays - size.Trainees + n%size.Trainees
	decided := teacher.post("/shots/"+historytest.ID(tray)+"/override", url.Values{"piece": {"2"}, "kind": {"count-it"}, "reason": {fmt.Sprint(n)}})
	decided.must(teacher.site, http.StatusSeeOther)
}

func spent(t *testing.T) cost {
	t.Helper()
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	io, err := os.ReadFile("/proc/self/io")
	fatal.If(t, err)
	var read int64
	if _, err := fmt.Sscanf(string(io), "rchar: %d", &read); err != nil {
		t.Fatal(err)
	}
	return cost{read, int64(m.TotalAlloc)}
}

// notPages are routes without a page that could grow: what is sent as it is, and
// what the tests of their own hold.
var notPages = map[string]string{
	"/static/": "files", "/sw.js": "a file", "/healthz": "a word", "/readyz": "a count of what waits", "/people/links/{id}": "links just made", "/language": "a cookie", "/openid": "the way to a provider", "/t/{token}": "a link", "/install/netagauge.crt": "a file",
	"/shots/{id}/picture": "one picture", "/files/{name}": "made from one class", "/files/book.json": "all of it, see TestBookIsStreamed",
	"/plan/sheet.pdf": "what was entered", "/plan/picture/{id}": "one picture", "/shift/{id}": "kept as it was", "/past/everything.zip": "all of one person", "/people/everything.zip": "all of one person", "/shots/{id}/view": "one picture", "/exams/{id}/trays/{number}/{place}/view": "one picture",
	"/exams/{id}/certificates/{number}": "one paper", "/exam/certificate.pdf": "one paper", "/eye/cards/{id}": "one picture",
}

// everyRoute holds the list above to the routes that GET has.
func everyRoute(t *testing.T, seen map[string]cost) {
	source, err := os.ReadFile("serve.go")
	fatal.If(t, err)
	hole := regexp.MustCompile(`\\{\w+\\}`)
	for _, m := range regexp.MustCompile(`"GET (/[^"]*)"`).FindAllStringSubmatch(string(source), -1) {
		route := strings.TrimSuffix(m[1], "{$}")
		pattern := regexp.MustCompile(`^[a-z ]+ ` + hole.ReplaceAllString(regexp.QuoteMeta(route), `[^/?]+`) + `(\?.*)?$`)
		found := notPages[route] != ""
		for page := range seen {
			found = found || pattern.MatchString(page)
		}
		if !found {
			t.Errorf("GET %s: its page is not looked at", route)
		}
	}
}

// The whole book is sent as it is read: what is held of it at once does not grow with
// it, and others go on meanwhile.
func TestBookIsStreamed(t *testing.T) {
	dir := t.TempDir()
	fatal.If(t, historytest.Fill(t.Context(), dir, "test", years(25)))
	s := siteOf(t, dir, historytest.Line)
	s.said.Reset() // it says that it sums up the classes
	teacher := s.role(account.Instructor)
	a, err := teacher.client.Get(s.url + "/files/book.json")
	fatal.If(t, err)
	defer a.Body.Close()
	if _, err := a.Body.Read(make([]byte, 1000)); err != nil || a.ContentLength >= 0 {
		t.Fatalf("%v; it comes with the length %d", err, a.ContentLength)
	}
	teacher.get("/files/book.json").must(s, http.StatusServiceUnavailable)
	decided := teacher.post("/shots/"+historytest.ID(0)+"/override", url.Values{"piece": {"1"}, "kind": {"count-it"}, "reason": {"meanwhile"}})
	decided.must(s, http.StatusSeeOther)
	teacher.get("/class").must(s, http.StatusOK)
	held, size := int64(0), int64(0)
	part := make([]byte, 1<<20)
	for {
		n, err := a.Body.Read(part)
		size += int64(n)
		if err != nil {
			break
		}
		runtime.GC()
		var m runtime.MemStats
		runtime.ReadMemStats(&m)
		held = max(held, int64(m.HeapAlloc))
	}
	t.Logf("%d bytes, %d held at most", size, held)
	if again := teacher.get("/files/book.json"); again.status != http.StatusOK || !json.Valid([]byte(again.body)) {
		t.Errorf("the next one who asks gets %d", again.status)
	}
	if size < 10<<20 || held > 60<<20 {
		t.Errorf("of %d bytes %d were held at once", size, held)
	}
}

// Whatever is listed comes in pages that together hold all, each once: the photos of
// a class, the classes to open again, the checks that are charted.
func TestListsHavePages(t *testing.T) {
	dir, size := t.TempDir(), historytest.Size{Classes: 45, Trays: 130, Trainees: 5, Checks: 250}
	fatal.If(t, historytest.Fill(t.Context(), dir, "test", size))
	s := siteOf(t, dir, historytest.Line)
	s.said.Reset()
	teacher := s.role(account.Instructor)
	for start, c := range map[string]struct {
		item, next string
		all, pages int
	}{
		"/class?all": {`<li><a href="/shots/(\w+)"`, `/class\?all&amp;before=\d+`, size.Trays, 3},
		"/class":     {`href="/class/earlier\?class=([^"]+)"`, `/class\?classes=\d+`, size.Classes - 1, 3},
		"/line?all":  {`/line/length-mean.svg\?all&amp;before=(\d+)`, `/line\?all&amp;before=\d+`, 3, 3},
	} {
		item, next := regexp.MustCompile(c.item), regexp.MustCompile(c.next)
		seen, pages := map[string]bool{}, 0
		for path := start; path != "" && pages < 9; pages++ {
			body := teacher.get(path).body
			for _, m := range item.FindAllStringSubmatch(body, -1) {
				if seen[m[1]] {
					t.Errorf("%s: %s is on two pages", start, m[1])
				}
				seen[m[1]] = true
			}
			path = strings.ReplaceAll(next.FindString(body), "&amp;", "&")
		}
		if len(seen) != c.all || pages != c.pages {
			t.Errorf("%s: %d on %d pages, want %d on %d", start, len(seen), pages, c.all, c.pages)
		}
	}
}
