package handout

import (
	"fmt"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"netagauge/internal/core/phrase"
	"netagauge/internal/tell/telltest"
)

// A browser prints the board on A4 and on Letter, upright, with nothing cut off at
// the right.
func TestBoardPrints(t *testing.T) {
	browser, err := exec.LookPath("chromium")
	if err != nil {
		t.Skip("no chromium here")
	}
	dir := telltest.Look(t)
	for _, l := range phrase.Languages() {
		p := lesson()
		p.Words = l
		page := filepath.Join(dir, "board-"+l.Tag()+".html")
		f, err := os.Create(page)
		if err != nil {
			t.Fatal(err)
		}
		if err := p.BoardHTML(f); err != nil {
			t.Fatal(err)
		}
		f.Close()
		html, err := os.ReadFile(page)
		if err != nil {
			t.Fatal(err)
		}
		for size, css := range map[string]string{"a4": "A4", "letter": "letter"} {
			sized := filepath.Join(dir, fmt.Sprintf("board-%s-%s.html", l.Tag(), size))
			text := string(html) + "<style>@page { size: " + css + "; }</style>"
			if err := os.WriteFile(sized, []byte(text), 0o600); err != nil {
				t.Fatal(err)
			}
			pdf := sized[:len(sized)-len(".html")] + ".pdf"
			out, err := exec.Command(browser, "--headless", "--no-sandbox", "--disable-gpu", "--no-pdf-header-footer", "--print-to-pdf="+pdf, (&url.URL{Scheme: "file", Path: sized}).String()).CombinedOutput()
			if err != nil {
				t.Skipf("chromium does not print here: %v: %.200s", err, out)
			}
			data, err := os.ReadFile(pdf)
			if err != nil {
				t.Fatal(err)
			}
			telltest.Whole(t, filepath.Base(pdf), data, 11)
		}
	}
}
