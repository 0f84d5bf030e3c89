package serve

import (
	"fmt"
	"math"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/pelletier/go-toml/v2"
	"golang.org/x/net/html"

	"netagauge/internal/core/fatal"
	"netagauge/internal/core/phrase"
	"netagauge/internal/tell/telltest"
)

// third is the tag of a language that nobody speaks: English whose words are 40 %
// longer, with every a, e, i, o, u changed, so that English words show.
const third = "en-XA"

var changed = strings.NewReplacer("a", "å", "e", "é", "i", "î", "o", "ö", "u", "ü", "A", "Å", "E", "É", "I", "Î", "O", "Ö", "U", "Ü")

// places are what a template speaks of, which stay as they are.
var places = regexp.MustCompile(`\{[^}]*\}|[a-zA-Z]+`)

// stretched makes each word of a text 40 % longer.
func stretched(text string) string {
	owed := 0.0
	return places.ReplaceAllStringFunc(text, func(word string) string {
		if word[0] == '{' {
			return word
		}
		owed += 0.4 * float64(len(word))
		n := int(math.Round(owed))
		owed -= float64(n)
		return changed.Replace(word + strings.Repeat(word[len(word)-1:], n))
	})
}

// pseudo is the one file that a third language needs, made from the English one.
func pseudo(t *testing.T) []byte {
	t.Helper()
	data, err := os.ReadFile("../core/phrase/languages/en.toml")
	fatal.If(t, err)
	var lines map[string]any
	fatal.If(t, toml.Unmarshal(data, &lines))
	for key, line := range lines {
		switch line := line.(type) {
		case string:
			lines[key] = stretched(line)
		case map[string]any:
			for form, words := range line {
				if words, ok := words.(string); ok {
					line[form] = stretched(words)
				}
			}
		}
	}
	out, err := toml.Marshal(lines)
	fatal.If(t, err)
	return out
}

// inThird is everybody on a site that was given the third language's file, each
// at an address where they are signed in and speak it.
func inThird(t *testing.T) (e everybody, at map[*visitor]string) {
	t.Helper()
	l, err := phrase.Parse(third, pseudo(t))
	fatal.If(t, err)
	e = newEverybody(t)
	e.server.Languages = append(slices.Clone(e.server.Languages), l)
	e.server.pages = parsePages(e.server.Languages)
	at = map[*visitor]string{}
	site, _ := url.Parse(e.url)
	inner := e.server.Handler()
	for v := range e.everyPage() {
		web := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
			r.Header.Del("Cookie")
			for _, c := range v.client.Jar.Cookies(site) {
				r.AddCookie(c)
			}
			r.AddCookie(&http.Cookie{Name: languageCookie, Value: third})
			inner.ServeHTTP(w, r)
		}))
		t.Cleanup(web.Close)
		at[v] = web.URL
	}
	return e, at
}

// A third language needs one file: with it every page is in that language, every
// word of it.
func TestThirdLanguageIsOneFile(t *testing.T) {
	e, at := inThird(t)
	for v, paths := range e.everyPage() {
		for _, path := range paths {
			v.url = at[v]
			body := v.get(path).body
			if !strings.Contains(body, `<html lang="`+third+`">`) {
				t.Errorf("%s is not in %s", path, third)
			}
			inTheThird(t, path, body)
		}
	}
}

// plainVowel is in every English word of three letters or more, and in none of the
// third language.
var plainVowel = regexp.MustCompile(`\b[A-Za-z]*[aeiou][A-Za-z]*\b`)

func inTheThird(t *testing.T, path, body string) {
	t.Helper()
	for text := range spoken(t, body) {
		text = strings.ReplaceAll(text, `<script>alert(1)</script>`, "")
		for _, word := range plainVowel.FindAllString(known.ReplaceAllString(text, ""), -1) {
			if len(word) > 2 {
				t.Errorf("%s says %q in English: %q", path, word, strings.TrimSpace(text))
			}
		}
	}
}

// spoken are the texts of a page that are in its language.
func spoken(t *testing.T, body string) map[string]bool {
	t.Helper()
	doc, err := html.Parse(strings.NewReader(body))
	fatal.If(t, err)
	out := map[string]bool{}
	var walk func(n *html.Node)
	walk = func(n *html.Node) {
		if n.Type == html.ElementNode {
			for _, a := range n.Attr {
				if a.Key == "lang" && n.Data != "html" {
					return
				}
			}
			if slices.Contains([]string{"bdi", "textarea", "script", "style", "noscript", "pre"}, n.Data) {
				return
			}
		}
		if n.Type == html.TextNode {
			out[n.Data] = true
		}
		for c := n.FirstChild; c != nil; c = c.NextSibling {
			walk(c)
		}
	}
	walk(doc)
	return out
}

// outside are the parts of a page that text does not fit into: wider than what
// holds them, but for what may be moved sideways.
const outside = `[...document.querySelectorAll("body *")].filter(e => e.checkVisibility() && !e.closest(".scroll, textarea, svg, .skip, .unseen, .scripted .shoot > button, select, input"))
	.filter(e => e.getBoundingClientRect().right > innerWidth + 0.5 || getComputedStyle(e).display != "inline" && e.scrollWidth > e.clientWidth + 1)
	.map(e => e.outerHTML.slice(0, 90))`

// With words 40 % longer nothing runs off a phone's screen. Set NETAGAUGE_SHOTS to
// a folder to look at the pages.
func TestLongWordsFit(t *testing.T) {
	ctx := telltest.Browser(t)
	e, at := inThird(t)
	must := func(err error) {
		t.Helper()
		fatal.If(t, err)
	}
	must(chromedp.Do(ctx, chromedp.EmulateViewport(390, 844, chromedp.EmulateScale(2), chromedp.EmulateMobile, chromedp.EmulateTouch)))
	n := 0
	for v, paths := range e.everyPage() {
		for _, path := range slices.Compact(slices.Sorted(slices.Values(paths))) {
			must(chromedp.Do(ctx, chromedp.Navigate(at[v]+path), chromedp.WaitReady("main")))
			wide, err := chromedp.Run(ctx, chromedp.Evaluate[[]string](`document.querySelectorAll("details").forEach(d => d.open = true); `+outside))
			must(err)
			for _, w := range wide {
				t.Errorf("%s: this does not fit: %s", path, w)
			}
			if dir := os.Getenv("NETAGAUGE_SHOTS"); dir != "" {
				picture, err := chromedp.Run(ctx, chromedp.FullScreenshot(90))
				must(err)
				n++
				must(os.WriteFile(filepath.Join(dir, fmt.Sprintf("third-%02d%s.jpg", n, strings.NewReplacer("/", "-", "?", "-").Replace(path[:min(len(path), 12)]))), picture, 0o600))
			}
		}
	}
}

// What makes the third language is itself right: longer by 40 %, and nothing of
// the places for numbers lost.
func TestStretched(t *testing.T) {
	const text = "cut {1:0} slices {a} of it"
	got := stretched(text)
	if !strings.Contains(got, "{1:0}") || !strings.Contains(got, "{a}") {
		t.Errorf("%q becomes %q", text, got)
	}
	if long := float64(len([]rune(got))-len("{1:0}{a}")-5) / float64(len(text)-len("{1:0}{a}")-5); math.Abs(long-1.4) > 0.05 {
		t.Errorf("%q is %.2f times as long", got, long)
	}
}
