package report

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/chromedp/chromedp"

	"netagauge/internal/core/fatal"
	"netagauge/internal/core/phrase"
	"netagauge/internal/tell/telltest"
)

// A browser prints the page of a check on A4 and on Letter with nothing cut off,
// under a file's name of 40 characters.
func TestPagePrints(t *testing.T) {
	browser := telltest.Browser(t)
	dir, err := filepath.Abs(telltest.Look(t))
	fatal.If(t, err)
	for _, l := range phrase.Languages() {
		for i, name := range telltest.LongNames {
			r := sample()
			r.Photo.File = name + ".jpg"
			file := filepath.Join(dir, "check-"+l.Tag()+string(rune('1'+i))+".html")
			f, err := os.Create(file)
			fatal.If(t, err)
			fatal.If(t, (Words{Language: l}).HTML(f, Page{Report: r}, Page{Report: refused()}))
			f.Close()
			for size, paper := range map[string]chromedp.PaperSize{"A4": chromedp.PaperA4, "Letter": chromedp.PaperLetter} {
				telltest.Whole(t, l.Tag()+", "+name+" on "+size, telltest.Print(t, browser, file, paper), 11)
			}
		}
	}
}
