package main

import (
	"path/filepath"
	"strings"

	"github.com/chromedp/chromedp"

	"netagauge/internal/core/fatal"
)

// pairs sends two photos of a tray at once, and a second one afterwards.
func (p *phone) pairs() {
	pair := func(name string) []string {
		path, err := filepath.Abs("../../testdata/pairs/" + name)
		fatal.If(p, err)
		return []string{path}
	}
	second := func(name string) {
		p.do("ask for a second", click(`a[href$="/second"]`), chromedp.WaitVisible(".guide"))
		p.says("two hands")
		p.look("second-" + name)
		p.do("send the second", chromedp.SetUploadFiles("#photo", pair(name+".b.jpg")), click(`form[action$="/second"] button`), chromedp.WaitVisible(`[data-live]`))
		p.do("wait for both", chromedp.WaitNotPresent("[data-live]"), chromedp.WaitVisible(".foot .button")) // the first result stays meanwhile
		p.do("the slice", chromedp.Tap(`.tray a:first-of-type .hit`), chromedp.WaitVisible("svg.thickness"))
	}
	first := func(name string) {
		p.open("/tray")
		p.take(pair(name + ".jpg")[0])
		p.do("wait for its page", chromedp.WaitVisible(`[data-live], .verdict`))
		p.settled()
		p.says("Weights: add a second photo")
		p.look("result-" + name)
	}
	first("koba")
	second("koba")
	p.slice("Thickness", "Step (koba)", "yes, ")
	first("wedge")
	second("wedge")
	p.slice("thicker at one end", "keep the blade level")
	p.look("slice-wedge")
}

// slice holds the sheet in view to what it must say.
func (p *phone) slice(parts ...string) {
	p.Helper()
	text, err := chromedp.Run(p.ctx, chromedp.Evaluate[string](`(document.querySelector("dialog[open]") || document.querySelector("main")).innerText`))
	fatal.If(p, err)
	for _, part := range parts {
		if !strings.Contains(text, part) {
			p.Errorf("the sheet does not say %q; it says:\n%s", part, text)
		}
	}
}
