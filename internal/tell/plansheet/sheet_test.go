package plansheet

import (
	"bytes"
	"context"
	"encoding/csv"
	"flag"
	"image"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"netagauge/internal/judge/coach"
	"netagauge/internal/judge/plan"
)

var update = flag.Bool("update", false, "rewrite the golden files")

// nigiri is a target as common practice has it (no source): 80 x 35 mm, 12 g.
var nigiri = coach.Target{LengthLow: 75, LengthAim: 80, LengthHigh: 85, WidthLow: 32, WidthAim: 35, WidthHigh: 38, WeightLow: 10, WeightAim: 12, WeightHigh: 15}

func made(t testing.TB, change func(*plan.Options), stations ...plan.Station) plan.Plan {
	t.Helper()
	b, err := plan.NewBlock(stations)
	if err != nil {
		t.Fatal(err)
	}
	o := plan.DefaultOptions()
	if change != nil {
		change(&o)
	}
	p, err := plan.Make(context.Background(), b, nigiri, o)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func tapering(t testing.TB) plan.Plan {
	return made(t, nil, plan.At(0, 42, 16), plan.At(120, 56, 20), plan.At(250, 62, 22))
}

// The golden text guards the wording; its numbers are our own, checked in
// package plan.
func TestTextGolden(t *testing.T) {
	var got bytes.Buffer
	if err := Text(&got, tapering(t)); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join("testdata", "tapering.txt")
	if *update {
		if err := os.WriteFile(path, got.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if got.String() != string(want) {
		t.Errorf("the text differs from %s; go test ./internal/tell/plansheet -update rewrites it\n%s", path, got.String())
	}
}

// CSV read back gives the plan's numbers.
func TestCSVReadsBack(t *testing.T) {
	p := tapering(t)
	var b bytes.Buffer
	if err := CSV(&b, p); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(&b).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if len(rows) != len(p.Cuts)+1 {
		t.Fatalf("%d rows, want the header and %d cuts", len(rows), len(p.Cuts))
	}
	col := map[string]int{}
	for i, name := range rows[0] {
		col[name] = i
	}
	for i, s := range p.Slices {
		row := rows[i+2]
		for name, want := range map[string]float64{"length_mm": s.Length, "width_mm": s.Width, "weight_g": s.Weight, "theta_deg": s.Theta, "phi_deg": s.Phi, "pitch_mm": s.Pitch} {
			if got, err := strconv.ParseFloat(row[col[name]], 64); err != nil || got-want > 0.0006 || want-got > 0.0006 {
				t.Errorf("cut %d: %s is %q, want %.3f", s.Number, name, row[col[name]], want)
			}
		}
	}
}

func TestHTMLIsOnePage(t *testing.T) {
	p := tapering(t)
	var b bytes.Buffer
	if err := HTML(&b, p, `<script>alert("x")</script>`); err != nil {
		t.Fatal(err)
	}
	page := b.String()
	for _, bad := range []string{"<script", "http://", "https://", "src=", "NaN"} {
		if s := strings.ReplaceAll(page, `xmlns="http://www.w3.org/2000/svg"`, ""); strings.Contains(s, bad) {
			t.Errorf("the page holds %q", bad)
		}
	}
	if got, want := strings.Count(page, `class="ring"`), 2*len(p.Cuts); got != want {
		t.Errorf("%d numbers in the drawings, want each of %d cuts twice", got, len(p.Cuts))
	}
	for _, caution := range p.Cautions {
		if !strings.Contains(page, strings.ReplaceAll(caution, "'", "&#39;")) {
			t.Errorf("the caution %q is missing", caution)
		}
	}
}

// The PDF is the same bytes each time, holds every cut and caution (read by
// poppler), and draws the block at its own size.
func TestPDF(t *testing.T) {
	p := tapering(t)
	var a, b bytes.Buffer
	for _, w := range []*bytes.Buffer{&a, &b} {
		if err := PDF(w, p, "Cutting plan"); err != nil {
			t.Fatal(err)
		}
	}
	if !bytes.Equal(a.Bytes(), b.Bytes()) {
		t.Error("the same plan gave two different files")
	}
	path := filepath.Join(t.TempDir(), "sheet.pdf")
	if err := os.WriteFile(path, a.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err := exec.LookPath("pdftotext"); err != nil {
		t.Skip("poppler's pdftotext and pdftoppm are not installed")
	}
	text, err := exec.Command("pdftotext", "-layout", path, "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range rows(p)[1:] {
		if !strings.Contains(string(text), row[1]) || !strings.Contains(string(text), row[2]) {
			t.Errorf("cut %s: its marks %s and %s are not on the sheet", row[0], row[1], row[2])
		}
	}
	if !strings.Contains(string(text), "put the knife down") {
		t.Error("the cautions are not on the sheet")
	}
	checkFullSize(t, path)
}

// checkFullSize rasterises the first page at 10 px/mm and measures the drawn
// block from its tail edge to its head edge.
func checkFullSize(t *testing.T, path string) {
	t.Helper()
	out := strings.TrimSuffix(path, ".pdf")
	if err := exec.Command("pdftoppm", "-r", "254", "-f", "1", "-l", "1", "-singlefile", "-gray", "-png", path, out).Run(); err != nil {
		t.Fatal(err)
	}
	f, err := os.Open(out + ".png")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	img, err := png.Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	longest := 0.0
	for y := 400; y < 1000; y += 5 { // within the drawing from above
		longest = max(longest, span(img, y))
	}
	if longest < 249.5 || longest > 250.8 { // the line is 0.5 mm thick
		t.Errorf("the block is drawn %.1f mm long, want 250 and a line's thickness", longest)
	}
}

// span is the distance in mm between the outermost dark pixels of a row that
// have a long dark column about them: the block's ends.
func span(img image.Image, y int) float64 {
	first, last := -1, -1
	dark := func(x, y int) bool { r, _, _, _ := img.At(x, y).RGBA(); return r < 0x6000 }
	for x := range img.Bounds().Dx() {
		if dark(x, y) && dark(x, y-40) && dark(x, y+40) && dark(x, y-80) && dark(x, y+80) {
			if first < 0 {
				first = x
			}
			last = x
		}
	}
	return float64(last-first+1) / 10
}

// Left hand and tail to the right is the mirror picture: the same numbers, the
// start on the right.
func TestMirrorIsSaid(t *testing.T) {
	p := made(t, func(o *plan.Options) { o.Hand, o.Tail = plan.Left, plan.Right }, plan.At(0, 56, 20), plan.At(240, 56, 20))
	var b bytes.Buffer
	if err := Text(&b, p); err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(b.String(), "left hand; start at the tail end, on your right") {
		t.Errorf("the text does not say where to start:\n%s", b.String())
	}
	f := fromAbove(p)
	if first, last := f.labels[0].at.X, f.labels[len(p.Cuts)-1].at.X; first < last {
		t.Errorf("cut 0 is drawn at %.0f mm, left of the last cut at %.0f", first, last)
	}
}

func TestList(t *testing.T) {
	if got := list([]int{2, 3, 4, 7, 9, 10}); got != "2–4, 7, 9–10" {
		t.Errorf("list: %q", got)
	}
}
