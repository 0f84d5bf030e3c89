package main

import (
	"path/filepath"

	"github.com/chromedp/chromedp"
)

// pairs sends two photos of a tray at once, and a second one afterwards.
func (p *phone) pairs() {
	pair := func(name string) []string {
		path, err := filepath.Abs("../../testdata/pairs/" + name)
		if err != nil {
			p.Fatal(err)
		}
		return []string{path}
	}
	p.open("/tray")
	p.do("send two photos", chromedp.SetUploadFiles("#photo", pair("koba.jpg")), chromedp.SetUploadFiles("#second", pair("koba.b.jpg")), chromedp.Click(`form[data-sending] button`))
	p.do("wait for both", chromedp.WaitVisible("svg.thickness"))
	p.says("Thickness", "Step (koba)", "yes, ")
	p.look("result-pair")
	p.open("/tray")
	p.do("send one photo", chromedp.SetUploadFiles("#photo", pair("wedge.jpg")), chromedp.Click(`form[data-sending] button`))
	p.settled()
	p.says("Second photo: weight of each slice", "no thickness was entered")
	p.look("result-alone")
	p.do("send the second", chromedp.SetUploadFiles("#photo", pair("wedge.b.jpg")), chromedp.Click(`form[action$="/second"] button`))
	p.do("wait for both", chromedp.WaitVisible("svg.thickness"))
	p.says("thicker at one end", "keep the blade level")
	p.look("result-second")
	p.do("in Japanese", chromedp.Click(`a[lang="ja"]`), chromedp.WaitVisible(`html[lang="ja"] svg.thickness`))
	p.says("小刃", "片端が")
	p.look("result-second-ja")
	p.do("in English", chromedp.Click(`a[lang="en"]`), chromedp.WaitVisible(`html[lang="en"]`))
}
