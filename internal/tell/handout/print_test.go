package handout

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"github.com/chromedp/chromedp"

	"netagauge/internal/core/phrase"
	"netagauge/internal/keep/board"
	"netagauge/internal/tell/telltest"
)

// A browser prints the board and a trainee's page on A4 and on Letter, upright, with
// nothing cut off at the right.
func TestPagesPrint(t *testing.T) {
	browser := telltest.Browser(t)
	dir, err := filepath.Abs(telltest.Look(t))
	if err != nil {
		t.Fatal(err)
	}
	picture := tinyJPEG(t)
	for _, l := range phrase.Languages() {
		p := lesson()
		p.Words, p.Pictures = l, func(board.Photo) ([]byte, error) { return picture, nil }
		var class, trainee bytes.Buffer
		if err := p.BoardHTML(&class); err != nil {
			t.Fatal(err)
		}
		if err := p.TraineeHTML(&trainee, p.Trainees[0]); err != nil {
			t.Fatal(err)
		}
		for name, html := range map[string][]byte{"board": class.Bytes(), "trainee": trainee.Bytes()} {
			name = filepath.Join(dir, name+"-"+l.Tag())
			if err := os.WriteFile(name+".html", html, 0o600); err != nil {
				t.Fatal(err)
			}
			for size, paper := range map[string]chromedp.PaperSize{"a4": chromedp.PaperA4, "letter": chromedp.PaperLetter} {
				pdf := telltest.Print(t, browser, name+".html", paper)
				if err := os.WriteFile(name+"-"+size+".pdf", pdf, 0o600); err != nil {
					t.Fatal(err)
				}
				telltest.Whole(t, filepath.Base(name)+" on "+size, pdf, 11)
			}
		}
	}
}
