package serve

import (
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"netagauge/internal/core/phrase"
)

// known are the words in Latin letters that Japanese pages hold: units, formats,
// names of standards, and names that people gave.
var known = regexp.MustCompile(`\b(mm|cm|kg|JPEG|PNG|HEIC|CSV|TOML|PDF|QR|SQLite|Excel|ZIP|JSON|Wi|Fi|URL|English|netagauge|Western|Electric|Nelson|nigiri|jpg|label|name|minutes|instructor|Monday|Aoi|Bo|Test|Tray|yen|euro|unicorn|thick|chef|XLSX|repeat)\b`)

var latin = regexp.MustCompile(`[A-Za-z]{2,}`)

// Japanese pages are Japanese: but for what is marked as another language, what
// people gave, and what a person edits, they hold no words in Latin letters.
func TestJapaneseIsWhole(t *testing.T) {
	e := newEverybody(t)
	for v, paths := range e.everyPage() {
		v.header = http.Header{"Accept-Language": {"ja"}}
		for _, path := range paths {
			wholly(t, path, v.get(path).body)
		}
	}
	for _, c := range []struct {
		who    *visitor
		path   string
		fields url.Values
	}{
		{e.teacher, "/class", url.Values{"class": {""}, "day": {"x"}}},
		{e.teacher, "/class", url.Values{"class": {"Monday"}, "day": {"2020-01-01"}}},
		{e.teacher, "/class", url.Values{"class": {"New"}, "day": {"2026-11-25"}, "thickness": {"thick"}}},
		{e.teacher, "/roster", url.Values{"text": {"label\n"}, "was": {e.was("/roster")}}},
		{e.teacher, "/standard", url.Values{"text": {"name = 3\n"}, "was": {e.was("/standard")}}},
		{e.teacher, "/people/passcodes", url.Values{"name": {""}, "role": {"chef"}}},
		{e.teacher, "/people/passcodes/remove", url.Values{"id": {"x"}}},
		{e.stranger, "/signin", url.Values{"name": {"x"}, "passcode": {"y"}}},
		{e.stranger, "/join", url.Values{"code": {"12"}}},
	} {
		c.who.header = http.Header{"Accept-Language": {"ja"}}
		got := c.who.post(c.path, c.fields)
		if got.status/100 != 4 {
			t.Errorf("%s %v: %d", c.path, c.fields, got.status)
		}
		wholly(t, c.path, got.body)
	}
	for name, fields := range map[string]map[string]string{
		"both": {"thickness": "4", "tray-weight": "80"}, "thickness": {"thickness": "x"}, "weight": {"tray-weight": "x"}, "fish": {"species": "unicorn"},
	} {
		got := e.aoi.send("/tray", fields, "a.jpg", freshPhoto())
		if got.status != http.StatusUnprocessableEntity {
			t.Errorf("%s: %d", name, got.status)
		}
		wholly(t, "/tray with wrong "+name, got.body)
	}
	for _, size := range []string{"length=x&width=1&height=1", "length=240&width=90&height=20", "length=240&width=56&height=50", "length=5&width=5&height=5", "length=0&width=5&height=5", "length=240&width=56&height=20&species=unicorn"} {
		got := e.chef.get("/plan?" + size)
		if got.status != http.StatusUnprocessableEntity {
			t.Errorf("plan of %s: %d", size, got.status)
		}
		wholly(t, "/plan?"+size, got.body)
	}
}

// was is the hash that an edit of a setting begins from.
func (e everybody) was(path string) string {
	m := regexp.MustCompile(`name="was" value="([0-9a-f]+)"`).FindStringSubmatch(e.teacher.get(path).body)
	return m[1]
}

func wholly(t *testing.T, path, body string) {
	t.Helper()
	doc, err := html.Parse(strings.NewReader(body))
	if err != nil {
		t.Fatal(err)
	}
	var walk func(n *html.Node)
	walk = func(n *html.Node) {
		if n.Type == html.ElementNode {
			for _, a := range n.Attr {
				if a.Key == "lang" && a.Val == "en" {
					return
				}
				if a.Key == "alt" || a.Key == "aria-label" || a.Key == "data-sending" || a.Key == "data-failed" {
					foreign(t, path, a.Val)
				}
			}
			switch n.Data {
			case "bdi", "textarea", "script", "style", "noscript", "pre":
				return
			}
		}
		if n.Type == html.TextNode {
			foreign(t, path, n.Data)
		}
		for c := n.FirstChild; c != nil; c = c.NextSibling {
			walk(c)
		}
	}
	walk(doc)
}

func foreign(t *testing.T, path, text string) {
	t.Helper()
	text = strings.ReplaceAll(text, `<script>alert(1)</script>`, "") // a name on the roster
	if words := latin.FindAllString(known.ReplaceAllString(text, ""), -1); len(words) > 0 {
		t.Errorf("%s says in Japanese: %q (%q)", path, strings.TrimSpace(text), words)
	}
}

// A few checks do not say what is usual.
func TestFewChecksAreNotUsual(t *testing.T) {
	e := newEverybody(t)
	for range 2 {
		e.chef.sendTray("/line")
		e.site.measure(madeUp)
	}
	got := e.chef.get("/line")
	got.must(e.site, http.StatusOK, "Check 3: ", "trial limits")
	for _, m := range []string{"length", "width", "weight"} {
		if look := phrase.English().Word("look-" + m); strings.Contains(got.body, look) {
			t.Errorf("without a signal: %q", look)
		}
	}
	if !strings.Contains(got.body, "too few to say what is usual") || !strings.Contains(got.body, "so far") || strings.Contains(got.body, "as usual") || strings.Contains(got.body, "usual here") {
		t.Errorf("from three checks the page knows what is usual:\n%s", got.body)
	}
}

// The lettering of charts is the page's.
func TestChartsSpeakJapanese(t *testing.T) {
	e := newEverybody(t)
	e.chef.sendTray("/line")
	e.site.measure(madeUp)
	e.chef.header = http.Header{"Accept-Language": {"ja"}}
	for _, chart := range []string{"length-mean", "length-s"} {
		got := e.chef.get("/line/" + chart + ".svg")
		if got.status != http.StatusOK || !strings.Contains(got.body, "長さ") || !strings.Contains(got.body, "抜き取り確認") || strings.Contains(got.body, "spot check") {
			t.Errorf("%s: %d, its letters are not Japanese", chart, got.status)
		}
	}
}
