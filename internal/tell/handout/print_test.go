package handout

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"github.com/chromedp/chromedp"

	"netagauge/internal/core/fatal"
	"netagauge/internal/core/phrase"
	"netagauge/internal/keep/board"
	"netagauge/internal/tell/telltest"
)

// A browser prints the board and a trainee's page on A4 and on Letter, upright, with
// nothing cut off at the right.
func TestPagesPrint(t *testing.T) {
	browser := telltest.Browser(t)
	dir, err := filepath.Abs(telltest.Look(t))
	fatal.If(t, err)
	picture := tinyJPEG(t)
	for _, l := range phrase.Languages() {
		p := lesson()
		p.Words, p.Pictures = l, func(board.Photo) ([]byte, error) { return picture, nil }
		var class, trainee bytes.Buffer
		fatal.If(t, p.BoardHTML(&class))
		fatal.If(t, p.TraineeHTML(&trainee, p.Trainees[0]))
		for name, html := range map[string][]byte{"board": class.Bytes(), "trainee": trainee.Bytes()} {
			name = filepath.Join(dir, name+"-"+l.Tag())
			fatal.If(t, os.WriteFile(name+".html", html, 0o600))
			for size, paper := range map[string]chromedp.PaperSize{"a4": chromedp.PaperA4, "letter": chromedp.PaperLetter} {
				pdf := telltest.Print(t, browser, name+".html", paper)
				fatal.If(t, os.WriteFile(name+"-"+size+".pdf", pdf, 0o600))
				telltest.Whole(t, filepath.Base(name)+" on "+size, pdf, 11)
			}
		}
	}
}
