package matpdf

import (
	"bytes"
	"image"
	"image/draw"
	"image/png"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/label"
	"netagauge/internal/mat"
	"netagauge/internal/vision"
)

// firstPage rasterises the first page with poppler, a reader of PDF that has nothing
// to do with the library that wrote it.
func firstPage(t *testing.T, l mat.Layout, labels ...string) *image.Gray {
	t.Helper()
	var b bytes.Buffer
	if err := Write(&b, l, labels); err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	pdf := filepath.Join(dir, "mat.pdf")
	if err := os.WriteFile(pdf, b.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command("pdftoppm", "-r", "508", "-gray", "-png", "-f", "1", "-l", "1", "-singlefile", pdf, filepath.Join(dir, "page"))
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("pdftoppm: %v %s (install it: apt-get install poppler-utils)", err, out)
	}
	f, err := os.Open(filepath.Join(dir, "page.png"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	img, err := png.Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	g := image.NewGray(img.Bounds())
	draw.Draw(g, g.Rect, img, image.Point{}, draw.Src)
	return g
}

// Every tag of every mat lies within 0.05 mm of its place on the page, found by
// the detector that reads photos.
func TestTagsLieInPlace(t *testing.T) {
	for _, l := range mat.Layouts() {
		t.Run(l.Name, func(t *testing.T) {
			g := firstPage(t, l)
			if w, h := float64(g.Rect.Dx())/20, float64(g.Rect.Dy())/20; math.Abs(w-l.Paper.X) > 0.1 || math.Abs(h-l.Paper.Y) > 0.1 {
				t.Errorf("page is %.1f × %.1f mm, want %.1f × %.1f", w, h, l.Paper.X, l.Paper.Y)
			}
			tags, err := vision.DetectTags(g, 5) // as the program searches pictures of this size
			if err != nil {
				t.Fatal(err)
			}
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
					at := r2.Scale(1.0/20, r2.Add(c, r2.Vec{X: 0.5, Y: 0.5}))
					worst = math.Max(worst, r2.Norm(r2.Sub(at, want.Corners[k])))
				}
			}
			if worst > 0.05 {
				t.Errorf("a tag's corner lies %.3f mm from its place, want within 0.05", worst)
			}
		})
	}
}

// The label comes back from the printed page, in any script.
func TestLabelReadsBack(t *testing.T) {
	l, err := mat.ByName("a4")
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"Tray 07", "トレイ 7", "<b>&\"'"} {
		g := firstPage(t, l, want)
		q := l.QR
		crop := g.SubImage(image.Rect(int(20*q.Min.X)-30, int(20*q.Min.Y)-30, int(20*q.Max.X)+30, int(20*q.Max.Y)+30))
		small := image.NewGray(image.Rect(0, 0, crop.Bounds().Dx(), crop.Bounds().Dy()))
		draw.Draw(small, small.Rect, crop, crop.Bounds().Min, draw.Src)
		if got := label.Read(small); got != want {
			t.Errorf("label %q reads back as %q", want, got)
		}
	}
}

func TestSameBytes(t *testing.T) {
	var a, b bytes.Buffer
	for _, w := range []*bytes.Buffer{&a, &b} {
		if err := Write(w, mat.Layouts()[0], []string{"Tray 07"}); err != nil {
			t.Fatal(err)
		}
	}
	if !bytes.Equal(a.Bytes(), b.Bytes()) {
		t.Error("the same mat gives different bytes")
	}
}

func TestLabelsThatCannotBe(t *testing.T) {
	for _, bad := range []string{"", "  ", "a\x00b", strings.Repeat("x", 25)} {
		if err := Write(&bytes.Buffer{}, mat.Layouts()[0], []string{"ok", bad}); err == nil && bad != "" {
			t.Errorf("label %q is printed", bad)
		}
	}
}
