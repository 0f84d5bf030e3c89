package main

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"netagauge/internal/core/fatal"
)

// eyeState is what the page that trains the eye shows.
type eyeState struct {
	Fish, Ask, Off, Truth, Waits string
	Width, Height                float64 // of the picture, px of the screen
	Card                         float64 // width of the frame for a bank card, px of the screen
	Kept                         int     // guesses that wait
	Number                       bool    // a number is asked for
}

func (p *phone) eye() (x eyeState) {
	p.Helper()
	text, err := chromedp.Run(p.ctx, chromedp.Evaluate[string](`(() => {
		const at = (what) => { const e = document.querySelector(what); return e && e.checkVisibility() ? e.textContent.trim() : ""; };
		const box = (what) => document.querySelector(what).getBoundingClientRect();
		return JSON.stringify({ Fish: at("[data-fish]"), Ask: at("[data-ask]"), Off: at("[data-off]"), Truth: at("[data-truth]"), Waits: at("[data-queue-says]"),
			Width: box("[data-picture]").width * devicePixelRatio, Height: box("[data-picture]").height * devicePixelRatio, Card: box("[data-bank-card]").width * devicePixelRatio,
			Kept: Object.keys(localStorage).filter(k => k.startsWith("guesses:")).reduce((n, k) => n + JSON.parse(localStorage[k]).length, 0),
			Number: document.querySelector("[data-number]").checkVisibility() });
	})()`))
	if err == nil {
		err = json.Unmarshal([]byte(text), &x)
	}
	fatal.If(p, err)
	return x
}

// guess answers what is asked, and goes on.
func (p *phone) guess(value string) (answered eyeState) {
	p.Helper()
	if p.eye().Number {
		p.do("guess", chromedp.SetValue("[data-value]", value), click("[data-number] button"), chromedp.WaitVisible("[data-answer]"))
	} else {
		p.do("guess", click("[data-yes]"), chromedp.WaitVisible("[data-answer]"))
	}
	answered = p.eye()
	p.do("next", click("[data-next]"), chromedp.WaitVisible("[data-ask]"))
	return answered
}

// The eye is trained without the server once the page was open, slices are as large as
// they are, and each guess is kept once.
func TestEye(t *testing.T) {
	everywhere(t, false, (*phone).trainsEye)
}

func (p *phone) trainsEye() {
	link, _ := p.instructorBegins()
	w, address := newWifi(p.T, strings.TrimPrefix(p.base, "http://"))
	p.base = address
	p.open(link[strings.Index(link, "/t/"):])
	p.open("/tray")
	p.do("a worker from now on", chromedp.Evaluate[chromedp.Void](`navigator.serviceWorker.ready.then(() => 0)`, chromedp.EvalAwaitPromise))
	p.open("/eye")
	p.do("the slices are there", chromedp.WaitVisible("[data-ask]"))
	p.look("eye")
	p.measuresScreen()
	p.boxes()
	w.be(false)
	p.do("without Wi-Fi, anew", chromedp.Reload(), chromedp.WaitVisible("[data-ask]"))
	for i := range 6 {
		got := p.guess("50")
		if got.Truth == "" || got.Off == "" || got.Kept != i+1 {
			p.Errorf("after guess %d: %+v", i+1, got)
		}
	}
	if x := p.eye(); !strings.Contains(x.Waits, "6") {
		p.Errorf("what waits: %q", x.Waits)
	}
	p.look("eye-offline")
	w.be(true)
	p.do("with Wi-Fi", chromedp.Evaluate[chromedp.Void](`(dispatchEvent(new Event("online")), new Promise(done => { const look = () => Object.keys(localStorage).some(k => k.startsWith("guesses:") && localStorage[k] !== "[]") ? setTimeout(look, 50) : done(0); look(); }))`, chromedp.EvalAwaitPromise))
	p.open("/eye")
	p.do("what was guessed", chromedp.WaitVisible("#eye-readings"))
	n, err := chromedp.Run(p.ctx, chromedp.Evaluate[int](`fetch("/eye/deck").then(a => a.json()).then(d => d.past.length)`, chromedp.EvalAwaitPromise))
	if err != nil || n != 6 {
		p.Errorf("%d guesses arrived, want 6 (%v)", n, err)
	}
	p.lookInBoth("eye-readings")
	p.guessesFirst()
}

// guessesFirst sends a tray whose result waits for a guess.
func (p *phone) guessesFirst() {
	p.Helper()
	p.do("guess first", click(`form[action="/eye/first"] button`), chromedp.WaitReady(`input[name=first][value=no]`))
	p.open("/tray")
	p.take(p.sample("tray-triangles.jpg"))
	p.do("wait for the question", chromedp.WaitVisible(`form[action$="/guess"]`))
	p.look("first")
	p.do("guess", click(`.picks label:nth-of-type(1)`), click(`form[action$="/guess"] button`), chromedp.WaitVisible(".verdict"))
	p.says("you saw")
	p.look("first-result")
	p.open("/eye")
	p.do("the eye", chromedp.WaitVisible("#eye-readings"))
	p.says("which slices to cut again")
}

// measuresScreen holds a bank card (ISO/IEC 7810, ID-1: 85.60 × 53.98 mm) of a made-up
// size to the screen: from then on slices are as large as they are, within 1 %, also when
// the page is zoomed or laid on its side, which changes the ratio of its pixels.
func (p *phone) measuresScreen() {
	p.Helper()
	const pxPerMM = 13.7 // of a screen with 348 px to the inch
	p.do("measure the screen", unfold("[data-ruler] summary"), chromedp.Evaluate[chromedp.Void](`(() => { const s = document.querySelector("[data-px-per-mm]"); s.value = 13.7 / devicePixelRatio; s.dispatchEvent(new Event("input")); })()`))
	if x := p.eye(); math.Abs(x.Card/(53.98*pxPerMM)-1) > 0.01 {
		p.Errorf("the frame is %.1f px wide, a card is %.1f", x.Card, 53.98*pxPerMM)
	}
	p.look("eye-ruler")
	p.do("it fits", click("[data-fits]"))
	for _, ratio := range []float64{2, 3, 2.625} {
		p.do("another ratio", chromedp.EmulateViewport(int64(math.Round(780/ratio)), int64(math.Round(1688/ratio)), chromedp.EmulateScale(ratio), chromedp.EmulateMobile, chromedp.EmulateTouch), chromedp.Reload(), chromedp.WaitVisible("[data-ask]"))
		x := p.eye()
		mm, err := chromedp.Run(p.ctx, chromedp.Evaluate[[]float64](`[trainer.now.card.width, trainer.now.card.height]`))
		fatal.If(p, err)
		for i, px := range []float64{x.Width, x.Height} {
			if math.Abs(px/(mm[i]*pxPerMM)-1) > 0.01 {
				p.Errorf("ratio %g: %.1f mm are drawn %.1f px large, not %.1f", ratio, mm[i], px, mm[i]*pxPerMM)
			}
		}
	}
	p.do("as before", chromedp.EmulateViewport(390, 844, chromedp.EmulateScale(2), chromedp.EmulateMobile, chromedp.EmulateTouch), chromedp.Reload(), chromedp.WaitVisible("[data-ask]"))
}

// boxes holds what comes next to Leitner's rule, by a row of made-up guesses.
func (p *phone) boxes() {
	p.Helper()
	for rule, want := range map[string]string{
		// Days until a kind is due after so many right guesses in a row, and after a wrong one.
		`[1, 2, 3, 4, 5, 6, 7].map(n => leitner(Array.from({ length: n }, () => ({ fish: "a", measure: "m", right: true, at: 0 }))).get("a/m").due / dayMs).join()`:                "1,2,4,8,16,16,16",
		`[leitner([{ fish: "a", measure: "m", right: true, at: 0 }, { fish: "a", measure: "m", right: false, at: 5 }]).get("a/m")].map(k => k.box + " " + k.due).join()`:           "0 5",
		`[leitner([{ fish: "a", measure: "m", right: false, at: 5 }, { fish: "a", measure: "m", right: true, at: 7 }]).get("a/m")].map(k => k.box + " " + (k.due - dayMs)).join()`: "1 7",
		// What was wrong comes before what was right, what is due before what is not, and no slice twice in a row.
		`(() => { const cards = ["x", "y"].map(f => ({ id: f, fish: f, asks: [{ measure: "m" }] })); const past = [{ fish: "x", measure: "m", right: true, at: 0 }, { fish: "y", measure: "m", right: false, at: 0 }];
			return [nextUp(cards, past, [], 10), nextUp(cards, past, ["y"], 10), nextUp(cards, past, [], 3 * dayMs), nextUp(cards, [...past, { fish: "y", measure: "m", right: true, at: 9 }], [], 10)].map(n => n.card.id).join(); })()`: "y,x,y,x",
	} {
		got, err := chromedp.Run(p.ctx, chromedp.Evaluate[string](rule))
		if err != nil || got != want {
			p.Errorf("%s is %q, want %q (%v)", rule, got, want, err)
		}
	}
}
