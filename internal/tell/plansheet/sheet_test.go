package plansheet

import (
	"bytes"
	"context"
	"encoding/csv"
	"flag"
	"fmt"
	"image"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"netagauge/internal/core/fatal"
	"netagauge/internal/core/phrase"
	"netagauge/internal/judge/plan"
	"netagauge/internal/judge/standard"
	"netagauge/internal/tell/telltest"
)

var update = flag.Bool("update", false, "rewrite the golden files")

func made(t testing.TB, change func(*plan.Options), stations ...plan.Station) Sheet {
	t.Helper()
	b, err := plan.NewBlock(stations)
	fatal.If(t, err)
	o := plan.DefaultOptions()
	if change != nil {
		change(&o)
	}
	p, err := plan.Make(context.Background(), b, standard.Default(), "general", o)
	fatal.If(t, err)
	return Sheet{Plan: p, Title: "Cutting plan", Words: phrase.English()}
}

func tapering(t testing.TB) Sheet {
	return made(t, nil, plan.At(0, 42, 16), plan.At(120, 56, 20), plan.At(250, 62, 22))
}

// The golden text guards the wording; its numbers are our own, checked in
// package plan.
func TestTextGolden(t *testing.T) {
	var got bytes.Buffer
	fatal.If(t, tapering(t).Text(&got))
	path := filepath.Join("testdata", "tapering.txt")
	if *update {
		fatal.If(t, os.WriteFile(path, got.Bytes(), 0o644))
	}
	want, err := os.ReadFile(path)
	fatal.If(t, err)
	if got.String() != string(want) {
		t.Errorf("the text differs from %s; go test ./internal/tell/plansheet -update rewrites it\n%s", path, got.String())
	}
}

// CSV read back gives the plan's numbers.
func TestCSVReadsBack(t *testing.T) {
	p := tapering(t)
	var b bytes.Buffer
	fatal.If(t, CSV(&b, p.Plan))
	rows, err := csv.NewReader(&b).ReadAll()
	fatal.If(t, err)
	if len(rows) != len(p.Cuts)+1 {
		t.Fatalf("%d rows, want the header and %d cuts", len(rows), len(p.Cuts))
	}
	col := map[string]int{}
	for i, name := range rows[0] {
		col[name] = i
	}
	for i, c := range p.Cuts {
		want := append([]string{strconv.Itoa(c.Number)}, decimals(c.TopNear, c.TopFar, c.BoardNear, c.BoardFar)...)
		for k, name := range []string{"cut", "top_near_mm", "top_far_mm", "board_near_mm", "board_far_mm"} {
			if got := rows[i+1][col[name]]; got != want[k] {
				t.Errorf("cut %d: %s is %q, want %q", c.Number, name, got, want[k])
			}
		}
	}
	for _, s := range p.Slices {
		row := rows[s.Number+1]
		for name, want := range map[string]float64{"length_mm": s.Length, "width_mm": s.Width, "weight_g": s.Weight, "theta_deg": s.Theta, "phi_deg": s.Phi, "pitch_mm": s.Pitch} {
			if got, err := strconv.ParseFloat(row[col[name]], 64); err != nil || got-want > 0.0006 || want-got > 0.0006 {
				t.Errorf("cut %d: %s is %q, want %.3f", s.Number, name, row[col[name]], want)
			}
		}
	}
}

func TestHTMLIsOnePage(t *testing.T) {
	p := tapering(t)
	p.Title = `<script>alert("x")</script>`
	var b bytes.Buffer
	fatal.If(t, p.HTML(&b))
	page := b.String()
	for _, bad := range []string{"<script", "http://", "https://", "src=", "NaN"} {
		if s := strings.ReplaceAll(page, `xmlns="http://www.w3.org/2000/svg"`, ""); strings.Contains(s, bad) {
			t.Errorf("the page holds %q", bad)
		}
	}
	if got, want := strings.Count(page, `class="ring"`), 2*len(p.Cuts); got > want || got < want-2 {
		t.Errorf("%d numbers in the drawings, want each of %d cuts twice, but where it misses a side", got, len(p.Cuts))
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
	p := made(t, nil, plan.At(0, 42, 16), plan.At(120, 56, 20), plan.At(230, 62, 22))
	var a, b bytes.Buffer
	for _, w := range []*bytes.Buffer{&a, &b} {
		fatal.If(t, p.PDF(w))
	}
	if !bytes.Equal(a.Bytes(), b.Bytes()) {
		t.Error("the same plan gave two different files")
	}
	path := filepath.Join(t.TempDir(), "sheet.pdf")
	fatal.If(t, os.WriteFile(path, a.Bytes(), 0o644))
	if _, err := exec.LookPath("pdftotext"); err != nil {
		t.Skip("poppler's pdftotext and pdftoppm are not installed")
	}
	text, err := exec.Command("pdftotext", "-layout", path, "-").Output()
	fatal.If(t, err)
	for _, row := range p.Rows()[1:] {
		if !strings.Contains(string(text), row[1]) || !strings.Contains(string(text), row[2]) {
			t.Errorf("cut %s: its marks %s and %s are not on the sheet", row[0], row[1], row[2])
		}
	}
	if !strings.Contains(string(text), "put the knife down") {
		t.Error("the cautions are not on the sheet")
	}
	checkFullSize(t, a.Bytes())
}

// The lines on the board take as many pages as the block is long, and none that
// would show an end twice and nothing else.
func TestBoardLinesTakeNoPageTooMany(t *testing.T) {
	for long, want := range map[float64]int{200: 1, 240: 1, 242: 2, 470: 2, 490: 3} {
		var pdf bytes.Buffer
		fatal.If(t, made(t, nil, plan.At(0, 50, 20), plan.At(long, 50, 20)).PDF(&pdf))
		path := filepath.Join(t.TempDir(), "sheet.pdf")
		fatal.If(t, os.WriteFile(path, pdf.Bytes(), 0o600))
		text, err := exec.Command("pdftotext", path, "-").Output()
		fatal.If(t, err)
		if got := strings.Count(string(text), "100.0 mm"); got != want {
			t.Errorf("%g mm: lines on %d pages, want %d", long, got, want)
		}
	}
}

// checkFullSize rasterises the first page at 10 px/mm and measures the drawn
// block from its tail edge to its head edge.
func checkFullSize(t *testing.T, pdf []byte) {
	t.Helper()
	img := telltest.FirstPage(t, pdf, 10)
	longest := 0.0
	for y := 400; y < 1000; y += 5 { // within the drawing from above
		longest = max(longest, span(img, y))
	}
	if longest < 229.5 || longest > 230.8 { // the line is 0.5 mm thick
		t.Errorf("the block is drawn %.1f mm long, want 230 and a line's thickness", longest)
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
	fatal.If(t, p.Text(&b))
	if !strings.Contains(b.String(), "left hand; start at the tail end, on your right") {
		t.Errorf("the text does not say where to start:\n%s", b.String())
	}
	f := p.fromAbove(blade)
	if first, last := f.labels[0].at.X, f.labels[len(p.Cuts)-1].at.X; first < last {
		t.Errorf("cut 0 is drawn at %.0f mm, left of the last cut at %.0f", first, last)
	}
}

// What a cook reads has the words for one and for many, in every language, and
// no key without words.
func TestWords(t *testing.T) {
	for _, l := range phrase.Languages() {
		for _, p := range []Sheet{
			tapering(t),
			made(t, nil, plan.Sloping(0, 70, 4, 13, 22), plan.Sloping(240, 70, 4, 13, 22)),
			made(t, func(o *plan.Options) { o.Hand, o.Price, o.TailTip = plan.Left, 40, false }, plan.At(0, 56, 20), plan.At(100, 56, 20)),
		} {
			p.Words, p.Blade = l, 48
			var b bytes.Buffer
			fatal.If(t, p.Text(&b))
			fatal.If(t, p.HTML(&b))
			if s := b.String(); strings.Contains(s, "⟦") || strings.Contains(s, " 1 slices") || strings.Contains(s, "\n1 slices") || strings.Contains(s, "\n1 of them are") {
				t.Errorf("%s:\n%s", l.Tag(), s)
			}
		}
	}
}

// Cuts that read alike share a row, and each cut is in one.
func TestFolded(t *testing.T) {
	p := made(t, nil, plan.At(0, 56, 20), plan.At(240, 56, 20))
	seen := map[int]int{}
	for _, run := range p.alike() {
		for _, i := range run {
			seen[i]++
		}
	}
	for i := range p.Cuts {
		if seen[i] != 1 {
			t.Errorf("cut %d is in %d rows", i, seen[i])
		}
	}
	if got := len(p.Rows()); got > len(p.Cuts)*2/3 {
		t.Errorf("%d rows for the %d cuts of a bar", got, len(p.Cuts))
	}
}

// The spine of a blade laid at phi is its width times sin(phi) over the board.
func TestSpine(t *testing.T) {
	p := tapering(t)
	p.Blade = 48
	for i, row := range p.Rows()[1:] {
		c := p.Cuts[p.alike()[i][0]]
		if want := strconv.Itoa(int(math.Round(48 * math.Sin(c.Phi*math.Pi/180)))); row[spineColumn] != want {
			t.Errorf("cut %d: spine %s mm up, want %s", c.Number, row[spineColumn], want)
		}
	}
}

// Every page keeps its ink within the margins, in every language and under a title
// of 40 characters.
func TestPagesAreWhole(t *testing.T) {
	dir := telltest.Look(t)
	for _, l := range phrase.Languages() {
		for i, title := range telltest.LongNames {
			s := tapering(t)
			s.Words, s.Title, s.Blade = l, title, 48
			var out bytes.Buffer
			fatal.If(t, s.PDF(&out))
			fatal.If(t, os.WriteFile(filepath.Join(dir, fmt.Sprintf("plan-%s-%d.pdf", l.Tag(), i)), out.Bytes(), 0o600))
			telltest.Whole(t, l.Tag()+" "+title, out.Bytes(), 9)
		}
	}
}
