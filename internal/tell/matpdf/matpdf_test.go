package matpdf

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/core/fatal"
	"netagauge/internal/core/phrase"
	"netagauge/internal/judge/acceptance"
	"netagauge/internal/see/label"
	"netagauge/internal/see/mat"
	"netagauge/internal/see/vision"
	"netagauge/internal/tell/telltest"
)

// firstPage is the mat as printed, at so many pixels a mm.
func firstPage(t *testing.T, l mat.Layout, perMM float64, labels ...string) *image.Gray {
	t.Helper()
	var b bytes.Buffer
	fatal.If(t, Write(&b, l, labels, phrase.English()))
	return telltest.FirstGray(t, b.Bytes(), perMM)
}

// finest is how closely mats are looked at, px a mm: 0.05 mm is a pixel.
const finest = 20

// Every tag of every mat lies within 0.05 mm of its place on the page, found by the
// detector that reads photos; and the page, a picture of the mat from straight above, is
// found as a photo's mat is.
func TestTagsLieInPlace(t *testing.T) {
	for _, l := range mat.Layouts() {
		t.Run(l.Name, func(t *testing.T) {
			g := firstPage(t, l, finest, "Tray 07")
			if w, h := float64(g.Rect.Dx())/finest, float64(g.Rect.Dy())/finest; math.Abs(w-l.Paper.X) > 0.1 || math.Abs(h-l.Paper.Y) > 0.1 {
				t.Errorf("page is %.1f × %.1f mm, want %.1f × %.1f", w, h, l.Paper.X, l.Paper.Y)
			}
			tags, err := vision.DetectTags(g, 5, vision.Faint) // as the program searches pictures of this size
			fatal.If(t, err)
			seen := map[int]vision.Tag{}
			for _, d := range tags {
				seen[d.ID] = d
			}
			worst := 0.0
			for _, want := range l.Tags {
				d, ok := seen[want.ID]
				if !ok {
					t.Errorf("tag %d is not found", want.ID)
					continue
				}
				for k, c := range d.Corners {
					at := r2.Scale(1.0/finest, r2.Add(c, r2.Vec{X: 0.5, Y: 0.5}))
					worst = math.Max(worst, r2.Norm(r2.Sub(at, want.Corners[k])))
				}
			}
			if worst > 0.05 {
				t.Errorf("a tag's corner lies %.3f mm from its place, want within 0.05", worst)
			}
			matIsFound(t, l, g)
		})
	}
}

// printedLabel cuts the label's code out of a page at the given pixels a mm.
func printedLabel(g *image.Gray, l mat.Layout, perMM float64) *image.Gray {
	const rim = 1.5 // white around the code, mm
	px := func(mm float64) int { return int(math.Round(perMM * mm)) }
	crop := image.Rect(px(l.QR.Min.X-rim), px(l.QR.Min.Y-rim), px(l.QR.Max.X+rim), px(l.QR.Max.Y+rim))
	out := image.NewGray(image.Rect(0, 0, crop.Dx(), crop.Dy()))
	draw.Draw(out, out.Rect, g, crop.Min, draw.Src)
	return out
}

// longLabels fill the largest QR code that a label may have.
var longLabels = []string{"Tray 07", "トレイ 7", "<b>&\"'", "まな板 十二番の上段", "Fish counter, tray 07 b."}

// The label comes back from the printed page, in any script, also as a photo of
// a whole A3 mat shows it: 9 px a mm (4032 px over 420 mm), soft and noisy.
func TestLabelReadsBack(t *testing.T) {
	l, err := mat.ByName("a4")
	fatal.If(t, err)
	for _, want := range longLabels {
		g := firstPage(t, l, 20, want)
		if got := label.Read(printedLabel(g, l, 20)); got != want {
			t.Errorf("label %q reads back as %q", want, got)
		}
		g = firstPage(t, l, 9, want)
		if got := label.Read(photographed(printedLabel(g, l, 9))); got != want {
			t.Errorf("photographed, label %q reads back as %q", want, got)
		}
	}
}

// photographed softens with a 3 x 3 binomial filter (sigma 0.7 px) and adds
// noise of 8 gray levels, the same every time.
func photographed(g *image.Gray) *image.Gray {
	rng := rand.New(rand.NewPCG(1, 2))
	out := image.NewGray(g.Rect)
	copy(out.Pix, g.Pix)
	weights := [3]float64{0.25, 0.5, 0.25}
	for y := 1; y < g.Rect.Dy()-1; y++ {
		for x := 1; x < g.Rect.Dx()-1; x++ {
			sum := 8 * rng.NormFloat64()
			for j, wy := range weights {
				for i, wx := range weights {
					sum += wy * wx * float64(g.GrayAt(x+i-1, y+j-1).Y)
				}
			}
			out.SetGray(x, y, color.Gray{Y: uint8(min(max(sum, 0), 255))})
		}
	}
	return out
}

// The words of a label are really inked, also where the text font has no such
// letters, and stay in their place. A missing letter would be an empty box, so
// two Japanese labels must also look different.
func TestWordsAreLegible(t *testing.T) {
	l, err := mat.ByName("a4")
	fatal.If(t, err)
	seen := map[string]string{}
	for _, text := range []string{"トレイ", "まな板", "Tray 07", "Tray 08"} {
		g := firstPage(t, l, 5, text)
		b := l.Label
		words := g.SubImage(image.Rect(int(5*b.Min.X), int(5*b.Min.Y), int(5*b.Max.X), int(5*b.Max.Y))).(*image.Gray)
		var pix []byte
		ink := 0
		for y := words.Rect.Min.Y; y < words.Rect.Max.Y; y++ {
			for x := words.Rect.Min.X; x < words.Rect.Max.X; x++ {
				v := words.GrayAt(x, y).Y
				pix = append(pix, v)
				if v < 128 {
					ink++
				}
			}
		}
		if ink < 100 {
			t.Errorf("label %q has %d dark pixels only at 5 px a mm", text, ink)
		}
		if other, same := seen[string(pix)]; same {
			t.Errorf("labels %q and %q look the same", text, other)
		}
		seen[string(pix)] = text
	}
}

// Each label has its page, and one page of instructions follows.
func TestPages(t *testing.T) {
	for want, labels := range map[int][]string{2: nil, 3: {"a", "b"}} {
		var b bytes.Buffer
		fatal.If(t, Write(&b, mat.Layouts()[0], labels, phrase.English()))
		if !bytes.Contains(b.Bytes(), fmt.Appendf(nil, "/Count %d\n", want)) {
			t.Errorf("%d labels do not give %d pages", len(labels), want)
		}
	}
}

// Every page of every mat and of every sheet of shapes is whole in every language,
// with labels as long as they may be. A mat with rulers at the edge of the paper has
// them 2 mm from it.
func TestPagesAreWhole(t *testing.T) {
	dir := telltest.Look(t)
	for _, language := range phrase.Languages() {
		for _, l := range mat.Layouts() {
			margin := 7.9
			if !l.Rulers[0].Numbered {
				margin = 1.9
			}
			sheet, err := acceptance.SheetFor(l)
			fatal.If(t, err)
			for name, write := range map[string]func(io.Writer) error{
				"mat":    func(w io.Writer) error { return Write(w, l, longLabels, language) },
				"shapes": func(w io.Writer) error { return WriteShapes(w, sheet, language) },
			} {
				var b bytes.Buffer
				fatal.If(t, write(&b))
				name = fmt.Sprintf("%s-%s-%s.pdf", name, l.Name, language.Tag())
				fatal.If(t, os.WriteFile(filepath.Join(dir, name), b.Bytes(), 0o600))
				telltest.Whole(t, name, b.Bytes(), margin)
			}
		}
	}
}

// What is said in the white places of a mat stays in them, in every language: none
// of it reaches the field, and no tag has ink in its white cell.
func TestNotesStayInTheirPlaces(t *testing.T) {
	for _, language := range phrase.Languages() {
		for _, l := range mat.Layouts() {
			p := newPage(l, language)
			for i, b := range l.Notes[:min(len(notes), len(l.Notes))] {
				_, down := p.fit(b, language.Word(notes[i][1]), noteLetter)
				if down > b.Size().Y {
					t.Errorf("%s, %s: note %d is %.1f mm high, its place %.1f", language.Tag(), l.Name, i, down, b.Size().Y)
				}
			}
		}
	}
}

// The same mat is the same file, and shows the same page.
func TestSameBytes(t *testing.T) {
	var a, b bytes.Buffer
	for _, w := range []*bytes.Buffer{&a, &b} {
		fatal.If(t, Write(w, mat.Layouts()[0], []string{"Tray 07", "トレイ 7"}, phrase.English()))
	}
	if !bytes.Equal(a.Bytes(), b.Bytes()) {
		t.Error("the same mat gives different bytes")
	}
}

func TestLabelsThatCannotBe(t *testing.T) {
	for _, bad := range []string{"", "  ", "a\x00b", "a\xff", strings.Repeat("x", 25), strings.Repeat("魚", 11), "tray \U0001F41F"} {
		if err := Write(io.Discard, mat.Layouts()[0], []string{"ok", bad}, phrase.English()); err == nil {
			t.Errorf("label %q is printed", bad)
		}
	}
}
