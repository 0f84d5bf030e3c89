package matprint

import (
	"bytes"
	"image"
	"image/jpeg"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"netagauge/internal/core/fatal"
	"netagauge/internal/core/phrase"
	"netagauge/internal/judge/acceptance"
	"netagauge/internal/see/mat"
	"netagauge/internal/tell/matpdf"
	"netagauge/internal/tell/telltest"
	"netagauge/internal/work/inspect"
)

// The sheet and the mat as printed, by poppler, laid on each other askew by hand
// with a card, and photographed by a camera of the test's own: a tilted pinhole
// with the usual distortion of a lens (Brown), uneven light, softness, noise, JPEG.
// Truth is what was printed.
func TestAcceptWithoutAPrinter(t *testing.T) {
	l, err := mat.ByName("a4")
	fatal.If(t, err)
	sheet, err := acceptance.SheetFor(l)
	fatal.If(t, err)
	mats := printed(t, func(w io.Writer) error { return matpdf.Write(w, l, nil, phrase.English()) })
	shapes := printed(t, func(w io.Writer) error { return matpdf.WriteShapes(w, sheet, phrase.English()) })
	table := scene{mat: mats, sheet: shapes, cut: sheet.Cut, card: r2.Scale(0.5, r2.Add(sheet.Card.Min, sheet.Card.Max)), matScale: 1, sheetScale: 1}
	for name, c := range map[string]struct {
		change func(*scene)
		bar    float64
		passes bool
		sheet  bool // the sheet is told to be off
	}{
		"printed true":                      {func(*scene) {}, 0, true, false},
		"both printed at 97 %":              {func(s *scene) { s.matScale, s.sheetScale = 0.97, 0.97 }, 0, false, true},
		"both at 97 %, measured by a ruler": {func(s *scene) { s.matScale, s.sheetScale = 0.97, 0.97 }, 97, true, false},
		"the mat alone at 98.5 %":           {func(s *scene) { s.matScale = 0.985 }, 0, true, false},
	} {
		t.Run(name, func(t *testing.T) {
			s := table
			c.change(&s)
			photo := s.photograph(t)
			keepShot(t, name, photo)
			got, err := Accept(t.Context(), inspect.Photo{Name: "photo.jpg", Data: photo}, c.bar, acceptance.Usual)
			fatal.If(t, err)
			t.Logf("card %.4f ± %.4f, shapes %.4f, largest errors %.2f mm, %.2f %%", got.Card, got.CardU, got.Sheet, got.Length, 100*got.Area)
			if math.Abs(got.Card-s.matScale) > got.CardU {
				t.Errorf("the mat is printed at %.4f, by the card %.4f ± %.4f", s.matScale, got.Card, got.CardU)
			}
			if got.Passed() != c.passes {
				t.Errorf("passed %v, want %v", got.Passed(), c.passes)
			}
			if got.SheetOff() != c.sheet || c.sheet && math.Abs(got.Sheet-s.sheetScale) > 0.006 {
				t.Errorf("shapes seen at %.4f of their size, said %v; want %.2f, said %v", got.Sheet, got.SheetOff(), s.sheetScale, c.sheet)
			}
		})
	}
}

// keepShot keeps the photo in the folder NETAGAUGE_SHOTS, to be looked at.
func keepShot(t *testing.T, name string, photo []byte) {
	t.Helper()
	dir := os.Getenv("NETAGAUGE_SHOTS")
	if dir == "" {
		return
	}
	fatal.If(t, os.WriteFile(filepath.Join(dir, strings.ReplaceAll(name, " ", "-")+".jpg"), photo, 0o600))
}

// perMM are the pixels of a millimetre of the printed pages.
const perMM = 10

// printed is the first page of a PDF as printed.
func printed(t *testing.T, write func(io.Writer) error) *image.RGBA {
	t.Helper()
	var pdf bytes.Buffer
	fatal.If(t, write(&pdf))
	return telltest.FirstPage(t, pdf.Bytes(), perMM)
}

// scene is what lies on the table, in true mm from the corner of the mat's paper.
type scene struct {
	mat, sheet           *image.RGBA
	matScale, sheetScale float64
	cut                  r2.Box // of the sheet, as drawn
	card                 r2.Vec // middle of it
}

// A card's size by ISO/IEC 7810 ID-1, the radius of its corners and its thickness,
// mm, and how it lies.
const cardLong, cardWide, cardCorner, cardThick, cardTurn = 85.60, 53.98, 3.18, 0.76, 4.0

// How the sheet was laid on the mat: turned by degrees, moved by mm.
const sheetTurn = 0.6

var sheetMoved = r2.Vec{X: 1.1, Y: -0.7}

type light = r3.Vec // red, green, blue, 0 to 255

// at is the colour of a point of the table; on the card's upper side for raised.
func (s scene) at(q r2.Vec, raised bool) (light, bool) {
	middle := r2.Scale(0.5, r2.Add(s.cut.Min, s.cut.Max))
	if raised {
		d := turned(r2.Sub(q, r2.Scale(s.matScale, s.card)), -cardTurn)
		return light{X: 205, Y: 200, Z: 190}, rounded(d, cardLong/2, cardWide/2, cardCorner)
	}
	d := r2.Scale(1/s.sheetScale, turned(r2.Sub(r2.Sub(q, r2.Scale(s.matScale, middle)), sheetMoved), -sheetTurn))
	if p := r2.Add(middle, d); p.X > s.cut.Min.X && p.X < s.cut.Max.X && p.Y > s.cut.Min.Y && p.Y < s.cut.Max.Y {
		return sampled(s.sheet, p), true
	}
	return sampled(s.mat, r2.Scale(1/s.matScale, q)), true
}

func turned(v r2.Vec, deg float64) r2.Vec {
	sin, cos := math.Sincos(deg * math.Pi / 180)
	return r2.Vec{X: cos*v.X - sin*v.Y, Y: sin*v.X + cos*v.Y}
}

// rounded reports whether a point lies in a rectangle about the origin.
func rounded(d r2.Vec, half, wide, corner float64) bool {
	x, y := math.Abs(d.X), math.Abs(d.Y)
	if x > half || y > wide {
		return false
	}
	cx, cy := x-(half-corner), y-(wide-corner)
	return cx < 0 || cy < 0 || math.Hypot(cx, cy) < corner
}

// sampled is a page's colour at a place, mm; gray where the page ends.
func sampled(page *image.RGBA, q r2.Vec) light {
	x, y := int(math.Floor(perMM*q.X)), int(math.Floor(perMM*q.Y))
	if !(image.Pt(x, y).In(page.Bounds())) {
		return light{X: 120, Y: 118, Z: 115}
	}
	c := page.RGBAAt(x, y)
	return light{X: float64(c.R), Y: float64(c.G), Z: float64(c.B)}
}

// The test's own camera: size and focal length in px, distortion, place in mm and
// tilt in degrees.
const (
	photoWide, photoHigh = 2200, 1650
	focal                = 1650.0
	k1, k2               = 0.03, -0.02
	eyeX, eyeY, eyeHigh  = 160.0, 140.0, 380.0
	tiltDeg, turnDeg     = 5.0, 2.0
)

// photograph draws the scene as the camera sees it and returns the JPEG.
func (s scene) photograph(t *testing.T) []byte {
	t.Helper()
	rng := rand.New(rand.NewPCG(7, 7))
	img := image.NewRGBA(image.Rect(0, 0, photoWide, photoHigh))
	for y := range photoHigh {
		for x := range photoWide {
			var sum light
			for _, d := range [4]r2.Vec{{X: -0.25, Y: -0.25}, {X: 0.25, Y: -0.25}, {X: -0.25, Y: 0.25}, {X: 0.25, Y: 0.25}} {
				sum = r3.Add(sum, r3.Scale(0.25, s.seen(float64(x)+d.X, float64(y)+d.Y)))
			}
			shade := 0.95 - 0.2*float64(x)/photoWide // a window on the left
			i := img.PixOffset(x, y)
			for k, v := range [3]float64{sum.X, sum.Y, sum.Z} {
				img.Pix[i+k] = uint8(math.Min(255, math.Max(0, shade*v+2.5*rng.NormFloat64())))
			}
			img.Pix[i+3] = 255
		}
	}
	var b bytes.Buffer
	fatal.If(t, jpeg.Encode(&b, img, &jpeg.Options{Quality: 92}))
	return b.Bytes()
}

// seen is what a pixel's ray meets: the card's upper side, else the table.
func (s scene) seen(px, py float64) light {
	u, v := (px-photoWide/2)/focal, (py-photoHigh/2)/focal
	x, y := u, v
	for range 6 { // Brown's distortion turned round
		q := x*x + y*y
		k := 1 + k1*q + k2*q*q
		x, y = u/k, v/k
	}
	sin, cos := math.Sincos(tiltDeg * math.Pi / 180)
	ray := r3.Vec{X: x, Y: cos*y + sin, Z: -sin*y + cos}
	flat := turned(r2.Vec{X: ray.X, Y: ray.Y}, turnDeg)
	hit := func(height float64) r2.Vec {
		return r2.Vec{X: eyeX + flat.X/ray.Z*(eyeHigh-height), Y: eyeY - 38 + flat.Y/ray.Z*(eyeHigh-height)}
	}
	if c, card := s.at(hit(cardThick), true); card {
		return c
	}
	c, _ := s.at(hit(0), false)
	return c
}

// A check tells an expanded uncertainty (k = 2, JCGM 100:2008, 6.2), a kept print a
// standard one.
func TestByCard(t *testing.T) {
	v, err := byCard(inspect.Result{Print: inspect.Print{Scale: 1.001, U: 0.004, ByCard: true}})
	if err != nil || v.X != 1.001 || v.U != 0.002 {
		t.Errorf("%v, %v; want 1.001 with a standard uncertainty of 0.002", v, err)
	}
	if _, err := byCard(inspect.Result{Print: inspect.Print{Scale: 1, U: 0.004}}); err == nil {
		t.Error("a print is told without a card")
	}
}
