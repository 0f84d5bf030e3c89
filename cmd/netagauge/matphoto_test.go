package main

import (
	"encoding/json"
	"image"
	"image/color"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"netagauge/internal/command"
	"netagauge/internal/core/fatal"
	"netagauge/internal/core/piece"
	"netagauge/internal/see/mat"
	"netagauge/internal/see/vision"
	"netagauge/internal/tell/telltest"
)

const pagePxPerMM = 15

// printed is the page of a mat that the program wrote.
func printed(t *testing.T, size, label string) *image.YCbCr {
	t.Helper()
	pdf := filepath.Join(t.TempDir(), "mat.pdf")
	args := []string{"mat", "--size", strings.TrimSuffix(size, "-margin"), "--label", label, "-o", pdf}
	if !strings.HasSuffix(size, "-margin") {
		args = append(args, "--edge")
	}
	if code, out, errs := netagauge(args...); code != command.ExitPass {
		t.Fatalf("exit code %d\n%s%s", code, out, errs)
	}
	data, err := os.ReadFile(pdf)
	fatal.If(t, err)
	img := telltest.FirstPage(t, data, pagePxPerMM)
	page := image.NewYCbCr(img.Bounds(), image.YCbCrSubsampleRatio444)
	for y := range page.Rect.Dy() {
		for x := range page.Rect.Dx() {
			c := color.YCbCrModel.Convert(img.RGBAAt(x, y)).(color.YCbCr)
			i := page.YOffset(x, y)
			page.Y[i], page.Cb[i], page.Cr[i] = c.Y, c.Cb, c.Cr
		}
	}
	return page
}

// cameraOver looks at the middle of the mat, width px wide and leaning by tilt
// degrees, as a 26 mm (35 mm equivalent) lens sees it.
func cameraOver(l mat.Layout, width int, tilt float64) mat.Camera {
	w, h := float64(width), float64(width)*3/4
	f := 26 * math.Hypot(w, h) / 43.27
	sin, cos := math.Sincos(tilt * math.Pi / 180)
	r := [3]r3.Vec{{X: 1}, {Y: cos, Z: -sin}, {Y: sin, Z: cos}}
	middle := r3.Vec{X: l.Paper.X / 2, Y: l.Paper.Y / 2}
	away := f * 1.2 * l.Paper.X / w
	return mat.Camera{
		F: f, Centre: r2.Vec{X: (w - 1) / 2, Y: (h - 1) / 2}, R: r,
		T: r3.Vec{X: -r3.Dot(r[0], middle), Y: -r3.Dot(r[1], middle), Z: away - r3.Dot(r[2], middle)},
	}
}

// photoOf is a noisy photo of a page by a camera.
func photoOf(t *testing.T, page *image.YCbCr, cam mat.Camera, width int) *image.YCbCr {
	t.Helper()
	picture, err := vision.Warp(page, vision.NewLattice(width, width*3/4, 16, func(px r2.Vec) r2.Vec {
		return r2.Sub(r2.Scale(pagePxPerMM, cam.Unproject(px, 0)), r2.Vec{X: 0.5, Y: 0.5})
	}))
	fatal.If(t, err)
	rng := rand.New(rand.NewPCG(1, 2))
	for i, v := range picture.Y {
		picture.Y[i] = uint8(min(max(20+0.85*float64(v)+5*rng.NormFloat64(), 0), 255))
	}
	return picture
}

// Flat pieces of known size on each margin mat are found and measured right from a
// photo at a slant: 80 by 35 mm, and a smaller one.
func TestMarginMatMeasures(t *testing.T) {
	for _, size := range []string{"a4", "letter"} {
		l, err := mat.ToPrint(size, false)
		fatal.If(t, err)
		page := printed(t, l.Name, "Tray 07")
		sizes := []r2.Vec{{X: 80, Y: 35}, {X: 70, Y: 30}}
		for i, s := range sizes {
			from := r2.Add(l.Field.Min, r2.Vec{X: 20 + 100*float64(i), Y: 25 + 30*float64(i)})
			for y := int(from.Y * pagePxPerMM); y < int((from.Y+s.Y)*pagePxPerMM); y++ {
				for x := int(from.X * pagePxPerMM); x < int((from.X+s.X)*pagePxPerMM); x++ {
					j := page.YOffset(x, y)
					page.Y[j], page.Cb[j], page.Cr[j] = 150, 95, 175 // the orange of salmon
				}
			}
		}
		_, out, errs := netagauge("check", "--json", "--thickness", "1", file(t, "mat.jpg", photoOf(t, page, cameraOver(l, 4032, 12), 4032)))
		var r piece.Tray
		if err := json.Unmarshal([]byte(out), &r); err != nil {
			t.Fatalf("%v\n%s%s", err, out, errs)
		}
		if r.Mat == nil || r.Mat.Name != l.Name || r.Mat.TagsSeen < r.Mat.TagsTotal-1 || len(r.MeasuredPieces()) != len(sizes) {
			t.Fatalf("%s: mat %+v, %d pieces\n%s", size, r.Mat, len(r.MeasuredPieces()), out[:min(len(out), 600)])
		}
		// What is flat and told to be 1 mm high is taken back from that height.
		flat := (r.Mat.CameraHeightMM - 1) / r.Mat.CameraHeightMM
		for i, p := range r.MeasuredPieces() {
			if math.Abs(p.Length.X-flat*sizes[i].X) > 0.3 || math.Abs(p.Width.X-flat*sizes[i].Y) > 0.3 {
				t.Errorf("%s, piece %d: %.2f × %.2f mm, want %v times %.4f", size, p.Number, p.Length.X, p.Width.X, sizes[i], flat)
			}
		}
	}
}

// A printed label comes back from a noisy photo at a slant, with the bare mat in
// it.
func TestLabelFromPrintToPhoto(t *testing.T) {
	for _, tc := range []struct {
		size, label string
		width       int
		tilt        float64
	}{
		{"a4", "Tray 07", 4032, 15},
		{"a3", "まな板 十二番の上段", 4032, 10}, // the finest code a label may have
	} {
		l, err := mat.ByName(tc.size)
		fatal.If(t, err)
		cam := cameraOver(l, tc.width, tc.tilt)
		picture := photoOf(t, printed(t, tc.size, tc.label), cam, tc.width)
		_, out, errs := netagauge("check", "--json", file(t, "mat.jpg", picture))
		var r piece.Tray
		if err := json.Unmarshal([]byte(out), &r); err != nil {
			t.Fatalf("%v\n%s%s", err, out, errs)
		}
		if r.Mat == nil || r.Mat.Label != tc.label {
			t.Errorf("%s with the label %q, leaning %g°: the report's mat is %+v", tc.size, tc.label, tc.tilt, r.Mat)
		}
	}
}
