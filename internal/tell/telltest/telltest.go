// Package telltest looks at what is told as its reader does: pages as a printer
// shows them, lines as a terminal has room for them. It is for tests only.
package telltest

import (
	"fmt"
	"image"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"netagauge/internal/core/fatal"
	"netagauge/internal/tell/terminal"
)

// LongNames are of 40 characters, invented; two have no space to break at.
var LongNames = []string{
	"Anastasia Wilhelmina Featherstonehaugh-X",
	"Bartholomaeusgottfriedwilhelmsonschmidtx",
	"鈴木花子田中太郎佐藤次郎高橋三郎伊藤四郎渡辺五郎山本六郎中村七郎小林八郎吉田九郎",
}

// Fits fails for each line of a text that is wider than a terminal.
func Fits(t testing.TB, text string) {
	t.Helper()
	for line := range strings.Lines(text) {
		line = strings.TrimRight(line, "\n")
		if n := terminal.Width(line); n > terminal.Columns {
			t.Errorf("%d columns: %s", n, line)
		}
	}
}

// Says fails where a text lacks one of these sentences, however it is broken into
// lines.
func Says(t testing.TB, text string, sentences ...string) {
	t.Helper()
	flat := flatten(text)
	for _, s := range sentences {
		if !strings.Contains(flat, flatten(s)) {
			t.Errorf("the text does not say %q:\n%s", s, text)
		}
	}
}

// flatten is a text without its line breaks and without spaces, since letters of some
// scripts stand without them.
func flatten(text string) string { return strings.Join(strings.Fields(text), "") }

// Pages are the pages of a PDF as poppler shows them, a reader that has nothing to
// do with the library that wrote it, at so many pixels a mm.
func Pages(t testing.TB, pdf []byte, perMM float64) []*image.RGBA {
	t.Helper()
	var out []*image.RGBA
	for _, data := range rasterised(t, pdf, perMM) {
		out = append(out, pixmap(t, data))
	}
	return out
}

// FirstPage is the first page of a PDF.
func FirstPage(t testing.TB, pdf []byte, perMM float64) *image.RGBA {
	t.Helper()
	return pixmap(t, rasterised(t, pdf, perMM, "-l", "1")[0])
}

// FirstGray is the first page of a PDF in shades of gray.
func FirstGray(t testing.TB, pdf []byte, perMM float64) *image.Gray {
	t.Helper()
	w, h, pixels := netpbm(t, rasterised(t, pdf, perMM, "-l", "1", "-gray")[0], "P5", 1)
	return &image.Gray{Pix: pixels, Stride: w, Rect: image.Rect(0, 0, w, h)}
}

// rasterised are a PDF's pages as files of the netpbm formats.
func rasterised(t testing.TB, pdf []byte, perMM float64, options ...string) (out [][]byte) {
	t.Helper()
	tool, err := exec.LookPath("pdftoppm")
	if err != nil {
		t.Skip("no pdftoppm here: apt-get install poppler-utils")
	}
	dir := t.TempDir()
	file := filepath.Join(dir, "page.pdf")
	fatal.If(t, os.WriteFile(file, pdf, 0o600))
	options = append(options, "-r", strconv.FormatFloat(25.4*perMM, 'f', -1, 64), file, filepath.Join(dir, "page"))
	if said, err := exec.Command(tool, options...).CombinedOutput(); err != nil {
		t.Fatalf("pdftoppm: %v: %s", err, said)
	}
	names, err := filepath.Glob(filepath.Join(dir, "*.p[gp]m"))
	if err != nil || len(names) == 0 {
		t.Fatalf("no pages: %v", err)
	}
	for _, name := range names {
		data, err := os.ReadFile(name)
		fatal.If(t, err)
		out = append(out, data)
	}
	return out
}

// netpbm reads the head that pdftoppm writes and gives the pixels behind it.
func netpbm(t testing.TB, data []byte, kind string, bytesPerPixel int) (w, h int, pixels []byte) {
	t.Helper()
	_, err := fmt.Sscanf(string(data[:min(len(data), 40)]), kind+"\n%d %d\n255\n", &w, &h)
	if err != nil || len(data) < bytesPerPixel*w*h {
		t.Fatalf("pdftoppm wrote no %s: %v", kind, err)
	}
	return w, h, data[len(data)-bytesPerPixel*w*h:]
}

// pixmap reads a picture in colour.
func pixmap(t testing.TB, data []byte) *image.RGBA {
	t.Helper()
	w, h, data := netpbm(t, data, "P6", 3)
	page := image.NewRGBA(image.Rect(0, 0, w, h))
	for i := range w * h {
		copy(page.Pix[4*i:], data[3*i:3*i+3])
		page.Pix[4*i+3] = 255
	}
	return page
}

// lookPerMM shows a page finely enough for the edge of its ink.
const lookPerMM = 2

// Whole fails where a page of a PDF has no ink, or ink nearer to the paper's edge than
// margin mm: there printers cut it off, or it was cut off already.
func Whole(t testing.TB, name string, pdf []byte, margin float64) {
	t.Helper()
	for i, page := range Pages(t, pdf, lookPerMM) {
		ink := Ink(page)
		if b := page.Bounds(); ink.Empty() || !ink.In(b.Inset(int(margin*lookPerMM))) {
			t.Errorf("%s, page %d: ink in %v, the page is %v, at %d px a mm; want %g mm of margin", name, i+1, ink, b, lookPerMM, margin)
		}
	}
}

// Ink is the box around everything that is not white.
func Ink(page *image.RGBA) (ink image.Rectangle) {
	b := page.Bounds()
	for y := b.Min.Y; y < b.Max.Y; y++ {
		for x := b.Min.X; x < b.Max.X; x++ {
			if c := page.RGBAAt(x, y); min(c.R, c.G, c.B) < 0xe0 {
				ink = ink.Union(image.Rect(x, y, x+1, y+1))
			}
		}
	}
	return ink
}

// Look is the folder to keep pages in for people to look at, from NETAGAUGE_LOOK, or
// one that goes with the test.
func Look(t testing.TB) string {
	t.Helper()
	if dir := os.Getenv("NETAGAUGE_LOOK"); dir != "" {
		return dir
	}
	return t.TempDir()
}
