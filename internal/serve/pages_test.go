package serve

import (
	"context"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"netagauge/internal/core/fatal"
	"netagauge/internal/core/phrase"
)

// everyPage lists the pages of each kind of visitor.
func (e everybody) everyPage() map[*visitor][]string {
	return map[*visitor][]string{
		e.stranger: {"/", "/install", "/nothing", "/t/guessed", "/class"},
		e.aoi:      {"/tray", "/past", "/mine", "/mine/delete", "/hand", "/eye", "/exam", e.aoiShot, "/class"},
		e.code:     {"/past", "/mine", "/exam"},
		e.teacher:  {"/class", "/class/wall", "/class/hand?name=Aoi+Test", "/class/eyes", "/tasks", "/exams", "/class/earlier?class=Monday", "/people/links", "/people/forget", "/people/keeping", "/people/forget?name=Aoi+Test", "/roster", "/standard", "/people", "/mat", "/files", "/line", "/plan", e.aoiShot, e.lineShot},
		e.chef:     {"/shift", "/blocks", "/yield?species=squid&slices=80", "/line", "/line?all", "/plan?length=240&width=56&height=20", "/plan?length=2&width=x&height=1", e.lineShot},
	}
}

// maxPage is what a page may weigh at first paint without its pictures: itself,
// the style and the script.
const maxPage = 100_000

// Every page: its headers, its size, no script or style inside, a language, a
// title, one heading of the first order, a name for each field.
func TestEveryPage(t *testing.T) {
	e := newEverybody(t)
	heaviest, which := 0, ""
	assets := len(e.stranger.get("/static/style.css").body) + len(e.stranger.get("/static/page.js").body)
	for v, paths := range e.everyPage() {
		for _, l := range phrase.Languages() {
			v.header = http.Header{"Accept-Language": {l.Tag()}}
			for _, path := range paths {
				got := v.get(path)
				for name, want := range map[string]string{
					"Content-Security-Policy": policy, "X-Content-Type-Options": "nosniff", "X-Frame-Options": "DENY", "Referrer-Policy": "same-origin",
					"Cache-Control": "no-store", "Content-Type": "text/html; charset=utf-8",
				} {
					if got.header.Get(name) != want {
						t.Errorf("%s: %s is %q", path, name, got.header.Get(name))
					}
				}
				n := len(got.body) + assets
				for _, script := range []string{"/static/queue.js", "/static/guide.js", "/static/eye.js"} {
					if strings.Contains(got.body, script) {
						n += len(e.stranger.get(script).body)
					}
				}
				if n > maxPage {
					t.Errorf("%s weighs %d bytes", path, n)
				}
				if n > heaviest {
					heaviest, which = n, path
				}
				checkMarkup(t, path, l, got.body)
			}
		}
	}
	t.Logf("the heaviest page, with style and script: %s, %d bytes", which, heaviest)
}

func checkMarkup(t *testing.T, path string, l lang, body string) {
	t.Helper()
	if strings.Contains(body, "⟦") {
		t.Errorf("%s lacks a text:\n%s", path, body)
	}
	if strings.Contains(body, "ZgotmplZ") || strings.Contains(body, "%!") {
		t.Errorf("%s has a template's complaint:\n%s", path, body)
	}
	doc, err := html.Parse(strings.NewReader(body))
	fatal.If(t, err)
	count, ids, labels := map[string]int{}, map[string]bool{}, map[string]bool{}
	var fields []string
	for n := range doc.Descendants() {
		if n.Type != html.ElementNode {
			continue
		}
		count[n.Data]++
		a := map[string]string{}
		for _, x := range n.Attr {
			a[x.Key] = x.Val
			if strings.HasPrefix(x.Key, "on") || x.Key == "style" {
				t.Errorf("%s has %s=%q", path, x.Key, x.Val)
			}
		}
		if id := a["id"]; id != "" {
			if ids[id] {
				t.Errorf("%s has two of id %q", path, id)
			}
			ids[id] = true
		}
		switch n.Data {
		case "html":
			if a["lang"] != l.Tag() {
				t.Errorf("%s says its language is %q, want %q", path, a["lang"], l.Tag())
			}
		case "script":
			if a["src"] == "" || n.FirstChild != nil {
				t.Errorf("%s has a script inside", path)
			}
		case "style":
			t.Errorf("%s has a style inside", path)
		case "img":
			if a["alt"] == "" {
				t.Errorf("%s has a picture without words", path)
			}
		case "label":
			labels[a["for"]] = true
		case "input", "select", "textarea":
			if a["type"] != "hidden" && a["type"] != "checkbox" {
				fields = append(fields, a["id"])
			}
		}
	}
	for _, id := range fields {
		if !labels[id] {
			t.Errorf("%s has a field %q without a label", path, id)
		}
	}
	if count["h1"] != 1 || count["title"] != 1 || count["main"] != 1 {
		t.Errorf("%s has %d h1, %d title, %d main", path, count["h1"], count["title"], count["main"])
	}
}

// A hostile name stays a name, on every page that shows one.
func TestHostileNames(t *testing.T) {
	e := newEverybody(t)
	x := e.trainee(hostile)
	shot := x.sendTray("/tray")
	e.measure(madeUp)
	e.teacher.post(shot+"/override", url.Values{"piece": {"1"}, "kind": {"not-a-slice"}, "reason": {hostile}})
	e.chef.send("/line", map[string]string{"who": hostile}, hostile, freshPhoto())
	e.measure(madeUp)
	for v, paths := range map[*visitor][]string{x: {"/tray", "/past", shot}, e.teacher: {"/class", "/people", "/roster", shot, "/line"}, e.chef: {"/line"}} {
		for _, path := range paths {
			v.get(path).lacks(e.site, "<script>alert", `"><script`, "turn the knife <")
		}
	}
	code, _ := e.accounts.ClassCode(context.Background())
	page := e.visitor().post("/join", url.Values{"code": {code}})
	page.lacks(e.site, "<script>alert")
	page.must(e.site, http.StatusOK, "&lt;script&gt;")
	sheet := e.teacher.made("/people/links", nil)
	sheet.lacks(e.site, "<script>alert")
	sheet.must(e.site, http.StatusOK, "<svg class=\"qr\"", "http://192.0.2.7:8080/t/")
}
