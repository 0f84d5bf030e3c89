package main

import (
	"encoding/base64"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	cdppage "github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/core/fatal"
	"netagauge/internal/see/mat"
)

// look is what the page made of a frame of the camera, and when, ms.
type look struct {
	Word                     string
	At, Tilt, Scale, Towards float64
}

// watched keeps what the worker says, before any of the page's own scripts run; with
// shaking no hand is still, with small all pictures are too coarse. A preview, which goes by
// itself after four seconds, goes when the test says so: a busy machine looks away that long.
const watched = `{ const after = setTimeout; globalThis.setTimeout = (act, ms, ...more) => { if (ms === 4000) { globalThis.itself = act; } return after(act, ms === 4000 ? 1e9 : ms, ...more); };
	const W = Worker; globalThis.looks = []; Worker = class extends W {
	constructor(address) { super(address); this.addEventListener("message", ({ data }) => { if (globalThis.shaking && data.word === "well") { data.word = "still"; } if (globalThis.small) { Object.assign(data, { word: "coarse", coarse: true }); } if (data.word) { looks.push({ ...data, At: performance.now() }); } }); } } }`

// A phone is held too high, leaning, too far to the right, and moving, then well: each
// is told, the shutter goes off by itself and only at the end, and the tray arrives and
// is measured. The next tray takes one tap; by hand the shutter goes off at any time.
func TestGuidedShot(t *testing.T) {
	if testing.Short() {
		t.Skip("takes a browser and some seconds")
	}
	f := newFilm(t, "../../testdata/photos/tray-a4.jpg")
	held := []pose{{1.6, 8, 0}, {0.95, 36, 0}, {0.95, 5, 0.2}}
	for _, p := range held {
		f.hold(t, p, second)
	}
	const steps = 8
	var moving [steps][]byte
	for i := range moving {
		moving[i] = f.frame(t, pose{0.95, 5, 0.008 * float64(i)}, false) // 70 mm/s
	}
	for i := range second {
		f.Write(moving[min(i%(2*steps-2), 2*steps-2-i%(2*steps-2))])
	}
	f.hold(t, pose{0.95, 5, 0}, 8*second)

	p := newPhone(t, chromedp.Flag("use-fake-ui-for-media-stream", true), chromedp.Flag("use-fake-device-for-media-stream", true), chromedp.Flag("use-file-for-fake-video-capture", f.write(t)))
	p.joins("Aoi Example")
	p.onEachPage(watched)
	p.open("/tray")
	p.do("what it needs is kept for when there is no Wi-Fi", chromedp.Evaluate[chromedp.Void](`(async () => {
		for (let n = 0; n < 3; await new Promise((r) => setTimeout(r, 50))) { n = (await (await caches.open("netagauge-1")).keys()).filter((k) => /look.js|tags.wasm|mats.json/.test(k.url)).length; }
	})()`, chromedp.EvalAwaitPromise))
	p.do("press the button", click(".camera"), chromedp.WaitVisible("dialog.preview"))
	looks, err := chromedp.Run(p.ctx, chromedp.Evaluate[[]look](`looks`))
	fatal.If(t, err)
	told(t, looks, f.found.Layout, held)
	p.do("it goes by itself", chromedp.Evaluate[chromedp.Void](`void itself()`), chromedp.WaitVisible(`[data-live], .verdict, .problem`))
	p.settled()
	p.says("good")

	p.onEachPage("globalThis.shaking = true")
	p.do("the next tray", click(".foot .button"), chromedp.WaitVisible("dialog.live"))
	p.look("live")
	p.rate(f)
	p.do("press the shutter of a coarse camera", chromedp.Evaluate[chromedp.Void](`void (small = true)`), click("[data-take]"))
	p.until("a picture too coarse to be measured is not taken", `document.querySelector("dialog.live [data-say]").textContent === "Use the phone's own camera"`)
	p.do("press the shutter", chromedp.Evaluate[chromedp.Void](`void (small = false)`), click("[data-take]"), chromedp.WaitVisible("dialog.preview"))
	p.do("take it again", click("[data-retake]"), chromedp.WaitVisible("dialog.live"), click("[data-shut]"), chromedp.WaitNotPresent("dialog"))

	p.looksAt(f)
	p.refused()
}

// refused presses the button where the camera is not given: it is told once, and from
// then on the button is that of the phone's own camera.
func (p *phone) refused() {
	p.Helper()
	p.do("no", chromedp.Evaluate[chromedp.Void](`navigator.mediaDevices.getUserMedia = () => Promise.reject(new DOMException("", "NotAllowedError")), void 0`),
		click(".camera"), chromedp.WaitVisible("[data-says]:not(:empty)"))
	p.says("may not use the camera", "With the phone's own camera")
	p.do("the phone's own camera", click(".camera"))
	if n, err := chromedp.Run(p.ctx, chromedp.Evaluate[int](`document.querySelectorAll("dialog").length`)); err != nil || n != 0 {
		p.Errorf("a page that may not use the camera asks again, %v", err)
	}
}

func (p *phone) onEachPage(script string) {
	p.Helper()
	if _, err := chromedp.Call(p.ctx, cdppage.AddScriptToEvaluateOnNewDocument, cdppage.AddScriptToEvaluateOnNewDocumentParams{Source: script}); err != nil {
		p.Fatal(err)
	}
}

// joins opens a class and comes in by its code.
func (p *phone) joins(name string) {
	p.Helper()
	p.signIn("instructor", p.passcode)
	p.do("open a class", chromedp.SetValue("#class", "Monday"), chromedp.SetValue("#species", "salmon"), click(`form[action="/class"] button`), chromedp.WaitVisible("[data-live]"))
	p.signOut()
	p.do("the class code", chromedp.SetValue("#code", p.code), click(`form[action="/join"] button`), chromedp.WaitVisible(`button[name="name"]`))
	p.do("pick the name", click(`button[value="`+name+`"]`), chromedp.WaitVisible(`[value="yes"]`))
	p.consents()
	p.do("the camera", chromedp.WaitVisible(".camera"))
}

// looksAt shows the worker a mat as phones held in many ways see it. What it says of
// scale, tilt and the way to go is held to how the phone was held.
func (p *phone) looksAt(f *film) {
	p.Helper()
	open := `(() => {
		const d = document.querySelector("template[data-guide]").dataset, w = new Worker(d.look);
		const ask = (what, hand) => new Promise((done) => { w.onmessage = (e) => done(e.data); w.postMessage(what, hand || []); });
		globalThis.lookAt = async (text, side) => {
			const picture = await createImageBitmap(new Blob([Uint8Array.from(atob(text), (c) => c.charCodeAt(0))]), side ? { resizeWidth: side } : {});
			return ask({ picture }, [picture]);
		};
		return ask({ wasm: d.wasm, mats: d.mats }).then(() => 0);
	})()`
	p.do("start a worker", chromedp.Evaluate[chromedp.Void](open, chromedp.EvalAwaitPromise))
	up, down, left, right := -math.Pi/2, math.Pi/2, math.Pi, 0.0
	for _, x := range []struct {
		word    string
		held    pose
		towards float64
		side    int // of the picture, px; 0 as filmed
		spoil   bool
	}{
		{"still", pose{0.95, 0, 0}, 0, 0, false}, {"still", pose{0.95, 20, 0}, 0, 0, false}, {"still", pose{0.95, -20, 0}, 0, 0, false},
		{"lift", pose{1, 40, 0}, up, 0, false}, {"lift", pose{1, -40, 0}, down, 0, false},
		{"left", pose{0.9, 0, 0.2}, left, 0, false}, {"right", pose{0.9, 0, -0.2}, right, 0, false},
		{"higher", pose{0.7, 0, 0}, 0, 0, false}, {"lower", pose{1.7, 0, 0}, 0, 0, false}, {"coarse", pose{0.95, 0, 0}, 0, 450, false},
		{"clear", pose{0.95, 0, 0}, 0, 0, true},
	} {
		c := x.held.camera(f.found.Layout)
		text := base64.StdEncoding.EncodeToString(f.frame(p.T, x.held, x.spoil))
		got, err := chromedp.Run(p.ctx, chromedp.Evaluate[look](fmt.Sprintf(`lookAt(%q, %d)`, text, x.side), chromedp.EvalAwaitPromise))
		fatal.If(p, err)
		px := c.PxPerMM(r2.Scale(0.5, f.found.Layout.Paper))
		if x.side > 0 {
			px *= float64(x.side) / filmWide
		}
		if got.Word != x.word || math.Abs(got.Scale/px-1) > 0.02 || math.Abs(got.Tilt-math.Abs(x.held.tilt)) > 2 || math.Cos(got.Towards-x.towards) < 0.98 {
			p.Errorf("held as %+v: %+v, want %s towards %.1f at %.2f px/mm", x.held, got, x.word, x.towards, px)
		}
	}
}

// told holds what was said, one thing after another, to how the phone was held: too
// high, leaning, too far to the right, a second each, moving for another.
func told(t *testing.T, looks []look, l mat.Layout, held []pose) {
	t.Helper()
	var words []string
	high := held[0].camera(l)
	px := high.PxPerMM(r2.Vec{X: l.Paper.X / 2, Y: l.Paper.Y / 2})
	for _, seen := range looks {
		if len(words) == 0 || words[len(words)-1] != seen.Word {
			words = append(words, seen.Word)
		}
		if seen.Word == "lower" && math.Abs(seen.Scale/px-1) > 0.02 {
			t.Errorf("the page sees %.2f px/mm, it is %.2f", seen.Scale, px)
		}
		if seen.Word == "lift" && math.Abs(seen.Tilt-held[1].tilt) > 2 {
			t.Errorf("the page sees a tilt of %.1f degrees, it is %.0f", seen.Tilt, held[1].tilt)
		}
	}
	at := 0
	for _, want := range []string{"lower", "lift", "left", "still", "well"} {
		next := slices.Index(words[at:], want)
		if next < 0 {
			t.Errorf("%s is not told, or not in its turn: %v", want, words)
			continue
		}
		at += next
	}
	span := (looks[len(looks)-1].At - looks[0].At) / 1000
	if span < float64(len(held)+1) {
		t.Errorf("the shutter went off after %.1f s", span)
	}
	t.Logf("%d looks in %.1f s; told %s", len(looks), span, strings.Join(words, ", "))
}
