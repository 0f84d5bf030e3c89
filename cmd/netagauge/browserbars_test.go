package main

import (
	"strings"
	"time"

	"github.com/chromedp/chromedp"

	"netagauge/internal/core/fatal"
)

// bars holds the result page in view to what a trainee is promised: few words
// before anything is unfolded, verdict, lesson and picture on one screen, large
// numbers in the picture.
func (p *phone) bars() {
	p.Helper()
	text, err := chromedp.Run(p.ctx, chromedp.Evaluate[string](`document.body.innerText`)) // what is folded is not in it
	fatal.If(p, err)
	if n := len(strings.Fields(text)); n > 200 {
		p.Errorf("%d words on the result page:\n%s", n, text)
	} else {
		p.Logf("%d words on the result page", n)
	}
	bottoms, err := chromedp.Run(p.ctx, chromedp.Evaluate[map[string]float64](`scrollTo(0, 0), Object.fromEntries([".verdict", ".lesson", ".tray"].map(s => [s, document.querySelector(s).getBoundingClientRect().bottom]).concat([["foot", document.querySelector(".foot .button").getBoundingClientRect().top]]))`))
	fatal.If(p, err)
	for what, bottom := range bottoms {
		if bottom > bottoms["foot"] {
			p.Errorf("%s ends at %.0f px, under the button that begins at %.0f", what, bottom, bottoms["foot"])
		}
	}
	small, err := chromedp.Run(p.ctx, chromedp.Evaluate[[]string](`[...document.querySelectorAll(".tray text")].map(e => parseFloat(getComputedStyle(e).fontSize) * e.getScreenCTM().a).filter(px => !(px >= 20)).map(String)`))
	if err != nil || len(small) > 0 {
		p.Errorf("numbers of %v CSS px, %v", small, err)
	}
	numbers, err := chromedp.Run(p.ctx, chromedp.Evaluate[float64](`document.querySelectorAll(".tray text").length`))
	if err != nil || numbers == 0 {
		p.Errorf("no numbers in the picture, %v", err)
	}
}

// screen is how large the screen is.
func (p *phone) screen(wide, high int64) {
	p.Helper()
	p.wide = wide
	p.do("a screen", chromedp.EmulateViewport(wide, high, chromedp.EmulateScale(2), chromedp.EmulateMobile, chromedp.EmulateTouch))
}

// otherScreens hold a result to have the picture beside the lesson, its numbers large, on
// a phone that lies, a tablet and a computer.
func (p *phone) otherScreens() {
	p.Helper()
	for name, size := range map[string][2]int64{"sideways": {844, 390}, "tablet": {820, 1180}, "computer": {1366, 768}} {
		p.screen(size[0], size[1])
		got, err := chromedp.Run(p.ctx, chromedp.Evaluate[map[string]float64](`(() => { scrollTo(0, 0); const r = (s) => document.querySelector(s).getBoundingClientRect(), t = document.querySelector(".tray text");
			return { lessonRight: r(".lesson").right, lessonTop: r(".lesson").top, left: r(".tray-figure").left, top: r(".tray-figure").top, bottom: r(".tray-figure .tray").bottom, number: parseFloat(getComputedStyle(t).fontSize) * t.getScreenCTM().a } })()`))
		fatal.If(p, err)
		if got["left"] < got["lessonRight"] || got["top"] > got["lessonTop"]+40 || got["bottom"] > float64(size[1]) || got["number"] < 20 {
			p.Errorf("%s: the picture is not whole beside the lesson, with numbers of 20 px: %v", name, got)
		}
		p.look("result-" + name)
	}
	p.screen(390, 844)
}

// sheets opens a slice over the tray, goes on to the next, and back.
func (p *phone) sheets() {
	p.Helper()
	p.do("tap a slice", chromedp.Tap(`.tray a:nth-of-type(2) .hit`), chromedp.WaitVisible("dialog .enlarged"))
	text := func() string {
		text, err := chromedp.Run(p.ctx, chromedp.Evaluate[string](`document.querySelector("dialog").innerText`))
		fatal.If(p, err)
		return text
	}
	if got := text(); !strings.Contains(got, "Slice 2") || !strings.Contains(got, "±") {
		p.Errorf("the sheet says:\n%s", got)
	}
	p.look("slice")
	p.do("the next slice", click("dialog .foot a:last-child"))
	for range 1200 {
		if strings.Contains(text(), "Slice 3") {
			break
		}
		time.Sleep(50 * time.Millisecond)
	}
	if got := text(); !strings.Contains(got, "Slice 3") {
		p.Errorf("the next sheet says:\n%s", got)
	}
	p.do("close the sheet", click("dialog .shut"), chromedp.WaitNotVisible("dialog"))
}
