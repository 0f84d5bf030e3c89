package serve

import (
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"netagauge/internal/core/fatal"
	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/keep/intake"
)

// known are the words in Latin letters that Japanese pages hold: units, formats,
// names of standards, and names that people gave.
var known = regexp.MustCompile(`\b(mm|cm|kg|MB|JPEG|PNG|HEIC|CSV|TOML|PDF|QR|SQLite|Excel|ZIP|JSON|Wi|Fi|URL|English|netagauge|Western|Electric|Nelson|Clopper|Pearson|nigiri|jpg|label|name|minutes|instructor|Monday|Aoi|Bo|Test|Tray|yen|euro|unicorn|thick|chef|XLSX|repeat)\b`)

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
	fatal.If(t, err)
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

// A signal leads to its tray and asks what it was; once somebody has said so, it is
// known. Ten checks alike and one that is 8 mm
// longer: beyond three standard errors of the mean.
func TestSignalIsRemarkedOn(t *testing.T) {
	e := newEverybody(t)
	for i := range 11 {
		e.chef.send("/line", map[string]string{"thickness": "4.2", "who": []string{"Aki <b>", "Station 2"}[i%2]}, "a.jpg", freshPhoto())
		e.measure(func(x intake.Shot) piece.Tray {
			r := madeUp(x)
			for n := range 2 {
				r.Pieces[n].Length.X = 80 + float64(n)
				if i == 10 {
					r.Pieces[n].Length.X += 8
				}
			}
			return r
		})
	}
	page := e.chef.get("/line")
	page.must(e.site, http.StatusOK, "Check 12: length is not as usual. "+phrase.English().Word("look-length"), "What was it", "Aki &lt;b&gt;", `href="/line?who=Station&#43;2"`)
	option := regexp.MustCompile(`<option value="(\d+)">Check 12<`).FindStringSubmatch(page.body)
	if option == nil {
		t.Fatal("no form to remark on check 12")
	}
	for _, fields := range []url.Values{{"check": option[1:], "remark": {" "}}, {"check": {"999"}, "remark": {"x"}}, {"check": option[1:], "remark": {strings.Repeat("x", 1001)}}} {
		if got := e.chef.post("/line/remark", fields); got.status != http.StatusNotFound {
			t.Errorf("%v: %d", fields, got.status)
		}
	}
	if got := e.aoi.post("/line/remark", url.Values{"check": option[1:], "remark": {"x"}}); got.status != http.StatusNotFound {
		t.Errorf("a trainee remarks on the line: %d", got.status)
	}
	known := e.chef.made("/line/remark", url.Values{"check": option[1:], "remark": {"new <i> knife"}})
	known.must(e.site, http.StatusOK, "Remark: new &lt;i&gt; knife")
	known.lacks(e.site, ">Check 12</option>")
	one := e.chef.get("/line?who=Station+2")
	one.must(e.site, http.StatusOK, "Check 11: length")
	one.lacks(e.site, "Check 12")
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
