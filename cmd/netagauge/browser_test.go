package main

import (
	"bytes"
	"compress/gzip"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"image"
	"image/jpeg"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/chromedp"

	"netagauge/internal/core/fatal"
	"netagauge/internal/tell/telltest"
)

// phone is a browser on a phone-sized screen, looking at a server that runs as
// a process of its own.
type phone struct {
	*testing.T
	server
	ctx   context.Context
	axe   string
	shots string // folder for pictures of the screen, "" for none
	wide  int64  // of the screen, px

	undecided bool // what may be kept is not said by itself
	unseen    bool // how pages look is not judged: the same ones are elsewhere
}

// everywhere takes a journey with a data folder, and once more with two servers of one
// record in a database and a bucket; with those, if it is not part of the main one, only
// when NETAGAUGE_LONG is set.
func everywhere(t *testing.T, main bool, journey func(p *phone)) {
	if testing.Short() {
		t.Skip("takes a browser and half a minute")
	}
	t.Parallel() // half of it is waiting
	t.Run("folder", func(t *testing.T) {
		t.Parallel()
		journey(newPhone(t))
	})
	t.Run("two servers", func(t *testing.T) {
		if !main && os.Getenv("NETAGAUGE_LONG") == "" {
			t.Skip("set NETAGAUGE_LONG to have it with a database and a bucket")
		}
		t.Parallel()
		p := newPhoneAt(t, startTwo)
		p.unseen = true
		journey(p)
	})
}

// newPhone starts the real server and the browser. Set NETAGAUGE_SHOTS to a
// folder to look at what the phone showed.
func newPhone(t *testing.T, more ...chromedp.ExecAllocatorOption) *phone {
	t.Helper()
	return newPhoneAt(t, startServer, more...)
}

func newPhoneAt(t *testing.T, at backEnd, more ...chromedp.ExecAllocatorOption) *phone {
	t.Helper()
	p := &phone{T: t, shots: os.Getenv("NETAGAUGE_SHOTS")}
	p.axe = readAxe(t)
	p.server = at(t, "label,name\nTray 01,Aoi Example\nTray 02,鈴木 見本\n")
	p.ctx = telltest.Browser(t, more...)
	p.screen(390, 844)
	return p
}

func readAxe(t *testing.T) string {
	t.Helper()
	f, err := os.Open("../../testdata/axe/axe.min.js.gz")
	fatal.If(t, err)
	defer f.Close()
	z, err := gzip.NewReader(f)
	fatal.If(t, err)
	text, err := io.ReadAll(z)
	fatal.If(t, err)
	return string(text)
}

func (p *phone) do(what string, steps ...chromedp.Action[chromedp.Void]) {
	p.Helper()
	ctx, stop := context.WithTimeout(p.ctx, 5*time.Minute)
	defer stop()
	if err := chromedp.Do(ctx, steps...); err != nil {
		text, _ := chromedp.Run(p.ctx, chromedp.Evaluate[string](`document.body.innerText`))
		p.Fatalf("%s: %v\nthe page says:\n%s", what, err, text)
	}
}

// click clicks when the page stands still: what is still coming in moves the button away
// between the moment its place is asked for and the click.
func click(button string) chromedp.Action[chromedp.Void] {
	place := fmt.Sprintf(`document.readyState + JSON.stringify(document.querySelector(%q)?.getBoundingClientRect())`, button)
	return chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		if _, err := chromedp.WaitVisible(button)(ctx, t); err != nil {
			return err
		}
		for was := ""; ; {
			is, err := chromedp.Evaluate[string](place)(ctx, t)
			if ctx.Err() != nil || err == nil && is == was && strings.HasPrefix(is, "complete") {
				break
			}
			was = is
			time.Sleep(50 * time.Millisecond)
		}
		_, err := chromedp.Click(button)(ctx, t)
		return err
	})
}

// unfold clicks a summary until what it hides is open: text in a folded part has a place
// on the page, so that waiting for it to be visible tells nothing.
func unfold(summary string) chromedp.Action[chromedp.Void] {
	open := fmt.Sprintf(`document.querySelector(%q).closest("details").open`, summary)
	return chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		for range 5 {
			if _, err := click(summary)(ctx, t); err != nil {
				return err
			}
			for range 20 {
				if is, err := chromedp.Evaluate[bool](open)(ctx, t); err == nil && is {
					return nil
				}
				time.Sleep(100 * time.Millisecond)
			}
		}
		return fmt.Errorf("five clicks on %s have not opened it", summary)
	})
}

// tap touches a button until what it leads to is there: on a busy machine a page moves
// under the finger while its pictures come in.
func (p *phone) tap(what, button, until string) {
	p.Helper()
	within := func(long time.Duration, step chromedp.Action[chromedp.Void]) error {
		ctx, stop := context.WithTimeout(p.ctx, long)
		defer stop()
		return chromedp.Do(ctx, step)
	}
	for range 5 {
		touched := within(20*time.Second, click(button))
		if within(20*time.Second, chromedp.WaitReady(until)) == nil {
			return
		}
		p.Logf("%s: to be touched once more, %v", what, touched)
	}
	p.Fatalf("%s: five touches led nowhere", what)
}

func (p *phone) text() string {
	p.Helper()
	text, err := chromedp.Run(p.ctx, chromedp.Evaluate[string](`document.querySelector("main")?.innerText ?? ""`))
	fatal.If(p, err)
	return text
}

// says holds the page's text to parts, some seconds long: what a click led to may still be
// on its way.
func (p *phone) says(parts ...string) {
	p.Helper()
	var text, lacks string
	for range 100 {
		text = p.text()
		missing := slices.IndexFunc(parts, func(part string) bool { return !strings.Contains(text, part) })
		if missing < 0 {
			return
		}
		lacks = parts[missing]
		time.Sleep(100 * time.Millisecond)
	}
	p.Errorf("the page does not say %q; it says:\n%s", lacks, text)
}

func (p *phone) open(path string) {
	p.Helper()
	p.do("open "+path, chromedp.Navigate(p.base+path), chromedp.WaitReady("main"))
	if !p.undecided {
		p.consents()
	}
}

// consents lets trays be kept under the name, where that is asked.
func (p *phone) consents() {
	p.Helper()
	asked, err := chromedp.Run(p.ctx, chromedp.Evaluate[bool](`document.querySelector('form[action="/mine"] [value="yes"] ~ [value="no"]') != null`))
	fatal.If(p, err)
	if asked {
		p.do("consent", click(`form[action="/mine"] [value="yes"]`), chromedp.WaitNotPresent(`form[action="/mine"]`), chromedp.WaitReady("main"))
	}
}

// look checks the page in view with axe-core, that it fits the screen's width
// and that its targets are large, and keeps a picture of it in both lights.
func (p *phone) look(name string) {
	p.Helper()
	if p.unseen {
		return
	}
	for _, light := range []string{"light", "dark"} {
		_, err := chromedp.Call(p.ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: light}}})
		fatal.If(p, err)
		if light == "light" {
			p.accessible(name, `{}`)
			p.fits(name)
		} else {
			p.accessible(name+" in the dark", ofColours)
		}
		if p.shots == "" {
			continue
		}
		picture, err := chromedp.Run(p.ctx, chromedp.FullScreenshot(90))
		fatal.If(p, err)
		fatal.If(p, os.WriteFile(filepath.Join(p.shots, name+"-"+light+".jpg"), picture, 0o644))
	}
}

// lookInBoth looks at the page in English and in Japanese.
func (p *phone) lookInBoth(name string) {
	p.Helper()
	if p.unseen {
		return
	}
	p.look(name)
	path, err := chromedp.Run(p.ctx, chromedp.Evaluate[string](`location.pathname + location.search`))
	fatal.If(p, err)
	p.open("/language?to=ja")
	p.open(path)
	p.look(name + "-ja")
	p.open("/language?to=en")
	p.open(path)
}

// ofColours are the rules of axe-core that colours can break. Dark pages differ from
// light ones in nothing else, so the others hold for both.
const ofColours = `{runOnly: ["color-contrast", "link-in-text-block"]}`

// accessible holds the page in view against axe-core.
func (p *phone) accessible(name, options string) {
	p.Helper()
	there, err := chromedp.Run(p.ctx, chromedp.Evaluate[bool](`"axe" in globalThis`))
	fatal.If(p, err)
	script := `axe.run(` + options + `).then(r => JSON.stringify(r.violations.map(v => [v.id, v.help, v.nodes.map(n => n.html + " " + n.failureSummary)])))`
	if !there {
		script = p.axe + ";" + script
	}
	result, err := chromedp.Run(p.ctx, chromedp.Evaluate[string](script, chromedp.EvalAwaitPromise))
	if err != nil {
		p.Fatalf("axe on %s: %v", name, err)
	}
	var violations [][]any
	fatal.If(p, json.Unmarshal([]byte(result), &violations))
	for _, v := range violations {
		p.Errorf("%s: axe: %v", name, v)
	}
}

// fits holds the page in view to the screen's width and to large targets.
func (p *phone) fits(name string) {
	p.Helper()
	small, err := chromedp.Run(p.ctx, chromedp.Evaluate[[]string](`[...document.querySelectorAll("button, .camera, input:not([type=hidden]):not([type=checkbox]):not([type=radio]), select, textarea, summary, nav a, .button, ul.list a")]
		.filter(e => e.checkVisibility()).map(e => [e, e.getBoundingClientRect()]).filter(([e, r]) => r.width > 1.5 && r.height > 1.5) /* its label is pressed */.filter(([e, r]) => r.height < 47.5 || r.width < 47.5).map(([e, r]) => e.outerHTML.slice(0, 80) + " " + r.width + "x" + r.height)`))
	fatal.If(p, err)
	for _, s := range small {
		p.Errorf("%s: a target under 48 px: %s", name, s)
	}
	wide, err := chromedp.Run(p.ctx, chromedp.Evaluate[float64](`document.documentElement.scrollWidth`))
	if err != nil || wide > float64(p.wide) {
		p.Errorf("%s is %g px wide on a screen of %d (%v)", name, wide, p.wide, err)
	}
	wide, err = chromedp.Run(p.ctx, chromedp.Evaluate[float64](`(() => { const s = document.documentElement.style; s.fontSize = "200%"; const w = document.documentElement.scrollWidth; s.fontSize = ""; return w })()`))
	if err != nil || wide > float64(p.wide) {
		p.Errorf("%s with text of 200 %% is %g px wide on a screen of %d (%v)", name, wide, p.wide, err)
	}
}

func (p *phone) signIn(name, passcode string) {
	p.Helper()
	p.open("/")
	p.do("sign in", chromedp.SetValue("#name", name), chromedp.SetValue("#passcode", passcode), click(`form[action="/signin"] button`), chromedp.WaitReady(`form[action="/signout"]`))
}

func (p *phone) signOut() {
	p.Helper()
	p.do("sign out", chromedp.Submit(`form[action="/signout"]`), chromedp.WaitVisible("#code"))
}

func (p *phone) sample(name string) string {
	p.Helper()
	path, err := filepath.Abs("../../testdata/photos/" + name)
	fatal.If(p, err)
	return path
}

// table is a photo without a mat.
func (p *phone) table() string {
	p.Helper()
	img := image.NewRGBA(image.Rect(0, 0, 1200, 900))
	for i := range img.Pix {
		img.Pix[i] = byte(120 + i/img.Stride%40 + i%7)
	}
	var b bytes.Buffer
	path := filepath.Join(p.TempDir(), "table.jpg")
	fatal.If(p, errors.Join(jpeg.Encode(&b, img, nil), os.WriteFile(path, b.Bytes(), 0o600)))
	return path
}

// send chooses a sample photo, sends it and waits for its page to settle.
func (p *phone) send(sample string, fields map[string]string) {
	p.Helper()
	if len(fields) > 0 {
		p.do("unfold what is told", unfold("main form summary"))
	}
	for id, value := range fields {
		p.do("fill in "+id, chromedp.SetValue("#"+id, value))
	}
	p.take(p.sample(sample))
	p.do("wait for its page", chromedp.WaitVisible(`[data-live], .verdict, .problem`))
}

// take chooses a photo and sends it: on the page with the camera from its preview.
func (p *phone) take(path string) {
	p.Helper()
	camera, err := chromedp.Run(p.ctx, chromedp.Evaluate[bool](sendPreview))
	fatal.If(p, err)
	p.do("choose "+path, chromedp.SetUploadFiles("#photo", []string{path}))
	if camera {
		p.until("send "+path, `!globalThis.unsent`)
	} else {
		p.do("send "+path, click(`form[data-sending] button`))
	}
}

// sendPreview presses the preview's button as soon as it is there: it goes by itself after
// four seconds, which a finger of the browser may be too slow for on a busy machine.
const sendPreview = `(() => {
	if (!document.querySelector("form[data-shoot]")) { return false; }
	globalThis.unsent = true;
	new MutationObserver((_, sight) => {
		const send = document.querySelector("[data-send]");
		if (send) { sight.disconnect(); send.click(); globalThis.unsent = false; }
	}).observe(document.body, { childList: true });
	return true;
})()`

// until waits for what a script finds, on this page or the one that it leads to.
func (p *phone) until(what, script string) {
	p.Helper()
	for range 1200 {
		if done, err := chromedp.Run(p.ctx, chromedp.Evaluate[bool](script)); err == nil && done {
			return
		}
		time.Sleep(50 * time.Millisecond)
	}
	p.Fatalf("%s: not within a minute; the page says:\n%s", what, p.text())
}

func (p *phone) settled() {
	p.Helper()
	p.do("wait for the result", chromedp.WaitVisible(".verdict, .problem.hard"))
}

// The three users' paths as they are used, on a phone, with the sample photos,
// against the real server; every page on the way is held against axe-core.
func TestOnAPhone(t *testing.T) {
	everywhere(t, true, (*phone).threePaths)
}

func (p *phone) threePaths() {
	p.open("/")
	p.look("front")
	p.do("the first key of a keyboard", chromedp.KeyEvent("\t"), chromedp.WaitVisible(".skip:focus"), chromedp.KeyEvent("\r"), chromedp.WaitVisible("main:focus"))
	p.do("a wrong passcode", chromedp.SetValue("#name", "instructor"), chromedp.SetValue("#passcode", "wrong"), click(`form[action="/signin"] button`), chromedp.WaitVisible("#pass-wrong"))
	p.look("front-wrong")
	p.open("/class")
	p.says("people who are signed in")
	p.look("stranger")

	link, chef := p.instructorBegins()
	p.trainee(link)
	p.chef(chef)
	p.instructorLooks()
	p.byClassCode()
	p.withoutScript()
}

// instructorBegins opens a class and makes a link and a passcode.
func (p *phone) instructorBegins() (link, chef string) {
	p.signIn("instructor", p.passcode)
	p.look("class-none")
	p.do("open a class", chromedp.SetValue("#class", "Monday"), chromedp.SetValue("#species", "salmon"), click(`form[action="/class"] button`), chromedp.WaitVisible("[data-live]"))
	p.look("class-empty")
	p.open("/roster")
	p.look("roster")
	p.do("a wrong roster", chromedp.SetValue("#names", "Aoi Example\nAoi Example\n"), click(`form[action="/roster"] button`), chromedp.WaitVisible("#wrong"))
	p.look("roster-wrong")
	p.open("/standard")
	p.look("standard")
	p.open("/people")
	p.look("people")
	p.do("a passcode for a chef", unfold("main details:last-of-type summary"), chromedp.SetValue("#name", "lunch chef"), click(`form[action="/people/passcodes"] button`), chromedp.WaitVisible(".problem"))
	chef = matched(p.T, `lunch chef:\s+([a-z0-9-]+)`, p.text())
	p.look("people-passcode")
	p.open("/people")
	p.do("a link", click(`button[value="Aoi Example"]`), chromedp.WaitVisible(".qr"))
	p.look("links")
	link = matched(p.T, `http://[^/]+(/t/[\w-]+)`, p.text())
	p.signOut()
	return link, chef
}

func matched(t *testing.T, pattern, text string) string {
	t.Helper()
	m := regexp.MustCompile(pattern).FindStringSubmatch(text)
	if m == nil {
		t.Fatalf("no %s in:\n%s", pattern, text)
	}
	return m[1]
}

// trainee opens the link, sends a tray, taps a slice, sends a photo that is
// refused, and looks back.
func (p *phone) trainee(link string) {
	p.open(link)
	p.says("Photograph the tray", "How to take it")
	p.look("tray")
	p.do("how", unfold("main summary"))
	p.says("Wipe the lens", "parasites")
	p.look("tray-how")
	p.troubles()
	p.send("tray-a4.jpg", nil)
	p.look("progress")
	p.settled()
	p.says("good", "Photo as taken", "Show me how")
	p.bars()
	p.look("result")
	p.otherScreens()
	p.sheets()
	p.do("the next photo", click(".foot .button"), chromedp.WaitVisible(".camera"))
	p.take(p.table())
	p.do("its page", chromedp.WaitVisible(".problem.hard"))
	p.says("This photo cannot be measured", "What to do")
	p.look("refused")
	p.pairs()
	p.open("/past")
	p.look("past")
	p.do("in Japanese", unfold("nav summary"), chromedp.WaitVisible(`a[lang="ja"]`), click(`a[lang="ja"]`), chromedp.WaitVisible(`html[lang="ja"]`))
	p.look("past-ja")
	p.do("the first tray in Japanese", click("ul.list li:nth-last-child(2) a"), chromedp.WaitVisible(".verdict"))
	p.says("よし", "やり方を見る")
	p.bars()
	p.look("result-ja")
	p.open("/tray")
	p.look("tray-ja")
	p.do("in English", unfold("nav summary"), chromedp.WaitVisible(`a[lang="en"]`), click(`a[lang="en"]`), chromedp.WaitVisible(`html[lang="en"]`))
	p.signOut()
}

// troubles are a file that is no photo, which the page says, and Wi-Fi that is gone:
// the photo is kept, and goes when it is back.
func (p *phone) troubles() {
	text := filepath.Join(p.TempDir(), "text.jpg")
	fatal.If(p, os.WriteFile(text, []byte("no photo"), 0o600))
	p.take(text)
	p.counts(0)
	p.says("This is not a photo that can be read")
	p.do("read it", click(".refused button"), chromedp.WaitNotPresent(".refused"))
	p.offline(true)
	p.take(p.table())
	p.counts(1)
	p.do("it is told", chromedp.WaitVisible(".queue"))
	p.says("Kept on this phone", "You may close this page")
	p.until("the try that fails", `(() => { const form = document.querySelector("form[data-shoot]"); return form.querySelector("[data-says]").textContent === form.dataset.waits })()`)
	p.look("tray-kept")
	p.offline(false)
	p.counts(0)
}

func (p *phone) offline(gone bool) {
	p.Helper()
	_, err := chromedp.Call(p.ctx, network.EmulateNetworkConditionsByRule, network.EmulateNetworkConditionsByRuleParams{
		MatchedNetworkConditions: []*network.Conditions{{Offline: gone, DownloadThroughput: -1, UploadThroughput: -1}}})
	fatal.If(p, err)
}

// chef takes two spot checks, sees the charts and plans a block from numbers and
// from a photo.
func (p *phone) chef(passcode string) {
	p.signIn("lunch chef", passcode)
	p.look("line-none")
	for i, sample := range []string{"tray-triangles.jpg", "tray-laid.jpg"} {
		p.open("/line")
		p.send(sample, map[string]string{"thickness": "4", "who": "station " + fmt.Sprint(i+1)})
		p.settled()
	}
	p.open("/line")
	p.says("station 2", "Check 2: ", "the house asks", "so far", "No chart: ")
	p.look("line")
	p.open("/plan")
	p.look("plan-none")
	p.do("plan from numbers", chromedp.SetValue("#length", "240"), chromedp.SetValue("#width", "56"), chromedp.SetValue("#height", "20"), click(`form[method="get"] button`), chromedp.WaitVisible("svg.block"))
	p.says("slices to serve", "of the block's 284 g")
	p.do("every cut", unfold("main details:first-of-type summary"), chromedp.WaitVisible("table"))
	p.look("plan")
	p.open("/plan")
	p.do("plan from a photo", unfold("main summary"))
	p.do("send the block", chromedp.SetValue("#height-photo", "20"), chromedp.SetUploadFiles("#photo", []string{p.sample("block.jpg")}), click(`form[data-sending] button`), chromedp.WaitVisible("svg.block"))
	p.do("the picture with the cuts, also when it is loaded anew", chromedp.WaitVisible("img.plot"), chromedp.Reload(), chromedp.WaitVisible("img.plot"))
	p.look("plan-photo")
	p.signOut()
}

// instructorLooks at the board, decides about a slice and verifies a mat.
func (p *phone) instructorLooks() {
	p.signIn("instructor", p.passcode)
	p.says("Aoi Example", "No photo of")
	p.do("open the menu", unfold("nav summary"), chromedp.WaitVisible(`a[href="/files"]`))
	p.look("class")
	p.open("/class") // the menu lies over the list
	p.do("open a tray", click("ul.list li:nth-last-child(2) a"), chromedp.WaitVisible(".verdict"))
	p.do("open a slice", chromedp.Evaluate[chromedp.Void](`location.assign(document.querySelector(".tray a").getAttribute("href"))`), chromedp.WaitVisible(".enlarged"))
	decide := func(kind, remark string) {
		p.do("decide", unfold(`main details:has(form[action$="/override"]) summary`), chromedp.SetValue("#reason", remark))
		p.look("override")
		p.do("keep it", click(`button[value="`+kind+`"]`), chromedp.WaitVisible(`button[value="as-measured"]`))
	}
	decide("said-again", "the surface is torn")
	p.says("Instructor: the surface is torn")
	p.look("slice-said")
	p.do("the tray with it", click(".back"), chromedp.WaitVisible(".verdict"))
	p.look("result-said")
	p.do("back to the slice", chromedp.Evaluate[chromedp.Void](`location.assign(document.querySelector(".tray a").getAttribute("href"))`), chromedp.WaitVisible(".enlarged"))
	p.do("take it back", click(`button[value="as-measured"]`), chromedp.WaitNotPresent(`button[value="as-measured"]`))
	decide("not-a-slice", "a scrap of skin")
	p.says("decided by hand", "a scrap of skin")
	p.standards()
	p.open("/mat")
	p.look("mat-none")
	p.do("send a card on a mat", chromedp.SetUploadFiles("#photo", []string{p.sample("tray-card.jpg")}), click(`form[data-sending] button`), chromedp.WaitVisible(".good"))
	p.says("printed at")
	p.look("mat")
	p.open("/files")
	p.look("files")
	p.open("/class/wall")
	p.look("wall")
	p.open("/people/links")
	p.look("links-ask")
	p.open("/language?to=ja&back=/class")
	p.look("class-ja")
	for name, path := range map[string]string{"people": "/people", "roster": "/roster", "standard": "/standard", "wall": "/class/wall", "files": "/files", "links-ask": "/people/links", "mat": "/mat",
		"class-earlier": "/class/earlier?class=Tuesday"} {
		p.open(path)
		p.look(name + "-ja")
	}
	p.open("/line")
	p.look("line-ja")
	p.open("/plan?length=240&width=56&height=20")
	p.look("plan-ja")
	p.open("/language?to=en")
	p.signOut()
}

// standards tries a house standard by its fields, keeps it and takes it back, and looks at
// a class that is not open any more.
func (p *phone) standards() {
	p.open("/standard")
	p.do("a higher limit", chromedp.SetValue("#width-high", "45"), click(`form[action="/standard"] button`), chromedp.WaitVisible(`button[name="try"]`))
	p.says("verdicts in the open class would change")
	p.look("standard-try")
	p.do("keep it", click(`button[name="try"]`), chromedp.WaitVisible(`form[action="/standard/undo"]`))
	p.open("/class")
	p.look("class-renewing")
	p.open("/standard")
	p.do("undo", click(`form[action="/standard/undo"] button`), chromedp.WaitVisible("p.good"))
	p.do("another class", chromedp.Navigate(p.base+"/class"), chromedp.WaitVisible("[data-live]"), unfold(`details:has(> form[action="/class"]) > summary`),
		chromedp.SetValue("#class", "Tuesday"), click(`form[action="/class"] button`), chromedp.WaitVisible(`a[href^="/class/earlier"]`))
	p.do("the first class", chromedp.Evaluate[chromedp.Void](`location.assign(document.querySelector('a[href^="/class/earlier"]').getAttribute("href"))`), chromedp.WaitVisible(`a[href^="/files/class.pdf?"]`))
	p.look("class-earlier")
	p.do("open it again", unfold(`details:has(> form[action="/class/again"]) > summary`), click(`form[action="/class/again"] button`), chromedp.WaitVisible("[data-live]"))
}

// byClassCode comes in without a link.
func (p *phone) byClassCode() {
	p.open("/")
	p.do("the class code", chromedp.SetValue("#code", p.code), click(`form[action="/join"] button`), chromedp.WaitVisible(`button[name="name"]`))
	p.look("join")
	p.do("pick the name", click(`button[value="Aoi Example"]`), chromedp.WaitVisible(".camera"))
	p.open("/past")
	p.says("No tray yet")
	p.look("past-code")
}

// withoutScript does the trainee's path in a browser that runs none.
func (p *phone) withoutScript() {
	_, err := chromedp.Call(p.ctx, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: true})
	fatal.If(p, err)
	p.open("/tray")
	p.do("send without script", chromedp.SetUploadFiles("#photo", []string{p.sample("tray-laid.jpg")}), click(`form.shoot button`),
		chromedp.WaitVisible(".good"), // received
		chromedp.WaitVisible(".verdict"))
	p.do("a slice without script", click(".rows a"), chromedp.WaitVisible(".enlarged"))
	p.open("/past")
	p.do("the tray is there", chromedp.WaitVisible("ul.list a"))
}
