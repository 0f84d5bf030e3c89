package report

import (
	"bytes"
	"image"
	"image/color"
	"image/draw"
	"image/jpeg"
	"math"
	"os"
	"path/filepath"
	"testing"

	"pgregory.net/rapid"

	"netagauge/internal/core/fatal"
	"netagauge/internal/core/piece"
)

// tableau is a picture of the sample tray at a scale: an A3 sheet, a field, and
// a patch of invented flesh colour for each piece.
func tableau(pxPerMM float64) *image.RGBA {
	img := image.NewRGBA(image.Rect(0, 0, int(420*pxPerMM), int(297*pxPerMM)))
	draw.Draw(img, img.Bounds(), image.White, image.Point{}, draw.Src)
	field := image.Rect(int(30*pxPerMM), int(30*pxPerMM), int(390*pxPerMM), int(267*pxPerMM))
	draw.Draw(img, field, image.NewUniform(color.RGBA{60, 110, 190, 255}), image.Point{}, draw.Src)
	p, err := newPen(img, 12)
	if err != nil {
		panic(err)
	}
	flesh := []color.RGBA{{225, 120, 90, 255}, {120, 20, 30, 255}, {235, 230, 225, 255}, {150, 40, 45, 255}, {240, 150, 110, 255}, {200, 200, 190, 255}, {220, 220, 225, 255}}
	a := annotator{Words: english, pen: p, scale: pxPerMM}
	for i, piece := range sample().Pieces {
		p.fill(flesh[i%len(flesh)], a.polygon(piece.Outline))
	}
	return img
}

var ball = Footprint{Length: 65, Width: 30, Corner: 14}

// The stored picture is for people to look at; a change that the eye would
// notice fails, another machine's last bit does not.
func TestGoldenPicture(t *testing.T) {
	img := tableau(4)
	fatal.If(t, english.Annotate(img, 4, sample(), ball))
	got, err := EncodeJPEG(img)
	fatal.If(t, err)
	path := filepath.Join(goldenDir, "tray.jpg")
	if *update {
		golden(t, "tray.jpg", got)
		return
	}
	stored, err := os.ReadFile(path)
	fatal.If(t, err)
	want, err := jpeg.Decode(bytes.NewReader(stored))
	fatal.If(t, err)
	differ := 0
	for y := 0; y < img.Rect.Dy(); y += 2 {
		for x := 0; x < img.Rect.Dx(); x += 2 {
			r, g, b, _ := want.At(x, y).RGBA()
			c := img.RGBAAt(x, y)
			if max(apart(r, c.R), apart(g, c.G), apart(b, c.B)) > 90 {
				differ++
			}
		}
	}
	if differ > 200 {
		t.Errorf("%s: %d pixels of a quarter differ clearly; if that is meant, run go test ./internal/tell/report -update and look at it", path, differ)
	}
}

func apart(wide uint32, v uint8) int { return max(int(wide>>8)-int(v), int(v)-int(wide>>8)) }

// Along its outline a slice shows the colour of its verdict, and an unsure one
// is dashed: part of it shows the casing.
func TestOutlineTellsTheVerdict(t *testing.T) {
	const scale = 6
	want := map[piece.Verdict]color.RGBA{piece.Pass: green, piece.Fail: vermilion, piece.Unsure: yellow}
	for v, c := range want {
		p := piece.Piece{Number: 1, State: piece.Measured, Verdict: v, Outline: [][2]float64{{20, 20}, {100, 20}, {100, 55}, {20, 55}}}
		img := image.NewRGBA(image.Rect(0, 0, 120*scale, 75*scale))
		fatal.If(t, english.Annotate(img, scale, piece.Tray{Status: piece.TrayMeasured, Pieces: []piece.Piece{p}}, ball))
		shown, thick := 0, 0
		for x := 25 * scale; x < 95*scale; x++ {
			if img.RGBAAt(x, 20*scale) == c {
				shown++
			}
		}
		for y := 15 * scale; y < 25*scale; y++ {
			if img.RGBAAt(40*scale, y).A > 128 {
				thick++
			}
		}
		share := float64(shown) / (70 * scale)
		if v == piece.Unsure && (share < 0.5 || share > 0.8) || v != piece.Unsure && share < 0.99 {
			t.Errorf("%s: %.2f of the edge has its colour", v, share)
		}
		if low, high := map[piece.Verdict]int{piece.Pass: 4, piece.Unsure: 6, piece.Fail: 8}[v], map[piece.Verdict]int{piece.Pass: 6, piece.Unsure: 8, piece.Fail: 10}[v]; thick < low || thick > high {
			t.Errorf("%s: the line is %d px thick, want %d to %d", v, thick, low, high)
		}
	}
}

// The hatched part is the footprint that the slice leaves bare: a slice 50 mm
// long under a square-cornered footprint of 65 x 30 leaves 15 x 30 mm.
func TestBareRiceArea(t *testing.T) {
	const scale = 6
	box := image.Rect(0, 0, 100*scale, 60*scale)
	p, err := newPen(image.NewRGBA(box), 12)
	fatal.If(t, err)
	a := annotator{Words: english, pen: p, scale: scale}
	foot := Footprint{Length: 65, Width: 30}.at(piece.Placement{CentreMM: [2]float64{50, 30}})
	slice := [][2]float64{{0, 5}, {67.5, 5}, {67.5, 55}, {0, 55}}
	bare := a.mask(box, a.polygon(foot))
	without(bare, a.mask(box, a.polygon(slice)))
	sum := 0.0
	for _, v := range bare.Pix {
		sum += float64(v) / 255
	}
	if got := sum / (scale * scale); math.Abs(got-15*30) > 1 {
		t.Errorf("%.2f mm² bare, want 450", got)
	}
}

// A rounded rectangle's area is L W - (4 - π) r².
func TestFootprintArea(t *testing.T) {
	poly := ball.at(piece.Placement{CentreMM: [2]float64{100, 50}, AngleDeg: 33})
	area := 0.0
	for i, q := range poly {
		n := poly[(i+1)%len(poly)]
		area += (q[0]*n[1] - n[0]*q[1]) / 2
	}
	if want := 65*30 - (4-math.Pi)*14*14; math.Abs(area-want) > 2 {
		t.Errorf("area %.2f mm², want %.2f", area, want)
	}
	if c := (piece.Piece{Outline: poly}).Centre(); math.Hypot(c[0]-100, c[1]-50) > 0.01 {
		t.Errorf("centre %v, want 100, 50", c)
	}
}

// A triangle's chords grow in proportion to the distance from its point.
func TestChordsOfATriangle(t *testing.T) {
	for _, deg := range []float64{0, 37, 90, 181} {
		sin, cos := math.Sincos(deg * math.Pi / 180)
		var tri [][2]float64
		for _, q := range [][2]float64{{0, 0}, {80, -20}, {80, 20}} {
			tri = append(tri, [2]float64{50 + q[0]*cos - q[1]*sin, 60 + q[0]*sin + q[1]*cos})
		}
		for k, c := range chords(tri, deg) {
			got := math.Hypot(c[1][0]-c[0][0], c[1][1]-c[0][1])
			if want := 2 * float64(k); math.Abs(got-want) > 1e-6 && k < 20 {
				t.Errorf("turned by %g°: chord %d is %g, want %g", deg, k, got, want)
			}
		}
	}
}

// Whatever the report holds, drawing stays inside the picture and ends.
func TestAnnotateTakesAnything(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		coordinate := rapid.OneOf(rapid.Float64Range(-50, 500), rapid.Float64Range(-1e5, 1e5), rapid.Float64Range(-1e18, 1e18))
		point := rapid.Custom(func(t *rapid.T) [2]float64 {
			return [2]float64{coordinate.Draw(t, "x"), coordinate.Draw(t, "y")}
		})
		what := rapid.SampledFrom([]string{"length", "width", "triangular", "koba", "other"})
		p := piece.Piece{
			State:   rapid.SampledFrom([]piece.State{piece.Measured, piece.CutOff, "new"}).Draw(t, "state"),
			Verdict: rapid.SampledFrom([]piece.Verdict{piece.Pass, piece.Fail, piece.Unsure, "new"}).Draw(t, "verdict"),
			Outline: rapid.SliceOfN(point, 0, 8).Draw(t, "outline"), AxisDeg: coordinate.Draw(t, "axis"),
			Length: piece.Of(coordinate.Draw(t, "length"), 0), RicePlacement: &piece.Placement{CentreMM: point.Draw(t, "centre")},
			Faults: []piece.Fault{{What: what.Draw(t, "what"), Low: ptr(30.0)}, {What: what.Draw(t, "what")}},
		}
		img := image.NewRGBA(image.Rect(0, 0, rapid.IntRange(0, 60).Draw(t, "w"), rapid.IntRange(0, 60).Draw(t, "h")))
		scale := rapid.Float64Range(0.01, 20).Draw(t, "scale")
		fatal.If(t, english.Annotate(img, scale, piece.Tray{Pieces: []piece.Piece{p}}, ball))
	})
}

func TestAnnotateRefusesNoScale(t *testing.T) {
	for _, s := range []float64{0, -1, math.NaN(), math.Inf(1)} {
		if err := english.Annotate(tableau(1), s, sample(), ball); err == nil {
			t.Errorf("a scale of %g px per mm was taken", s)
		}
	}
}

func BenchmarkAnnotate(b *testing.B) {
	base := tableau(4)
	work := image.NewRGBA(base.Rect)
	for b.Loop() {
		copy(work.Pix, base.Pix)
		fatal.If(b, english.Annotate(work, 4, sample(), ball))
	}
}

func BenchmarkEncodeJPEG(b *testing.B) {
	img := tableau(4)
	for b.Loop() {
		if _, err := EncodeJPEG(img); err != nil {
			b.Fatal(err)
		}
	}
}

// A point far outside the picture once made the rasterizer divide by zero.
func TestFarPoint(t *testing.T) {
	p := piece.Piece{
		State: piece.Measured, Verdict: piece.Pass, Outline: [][2]float64{{1, 1}, {1, 0.03125}, {209511.75, 0.046875}},
		RicePlacement: &piece.Placement{CentreMM: [2]float64{1, 1}}, Faults: []piece.Fault{{What: "triangular"}},
	}
	fatal.If(t, english.Annotate(image.NewRGBA(image.Rect(0, 0, 1, 1)), 20, piece.Tray{Pieces: []piece.Piece{p}}, ball))
}
