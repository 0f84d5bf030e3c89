package inspect

import (
	"bytes"
	"image"
	"image/draw"
	"image/jpeg"
	"math"
	"os"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/judge/standard"
	"netagauge/internal/judge/ticket"
	"netagauge/internal/see/mat"
	"netagauge/internal/see/photo"
)

// The view is cut and scaled as mat.Layout.View says, so that outlines in mm lie on
// the slices: inside an outline there is fish, just outside it the blue field.
func TestViewLiesUnderOutlines(t *testing.T) {
	const name = "tray-a4.jpg"
	data, err := os.ReadFile("../../../testdata/photos/" + name)
	if err != nil {
		t.Fatal(err)
	}
	res, err := Tray(t.Context(), Photos{First: Photo{name, data}}, ticket.Ticket{Standard: standard.Default()})
	if err != nil {
		t.Fatal(err)
	}
	text, err := res.View()
	if err != nil {
		t.Fatal(err)
	}
	img, err := jpeg.Decode(bytes.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	layout, _ := mat.ByName(res.Report.Mat.Name)
	box := layout.View()
	fine := float64(img.Bounds().Dx()) / (box.Max.X - box.Min.X)
	if down := float64(img.Bounds().Dy()) / (box.Max.Y - box.Min.Y); math.Abs(fine-down) > 0.01 || math.Abs(fine-res.Report.Mat.PxPerMM) > 0.01 {
		t.Errorf("%.3f × %.3f px/mm, the photo has %.3f", fine, down, res.Report.Mat.PxPerMM)
	}
	blue := func(p r2.Vec) bool {
		p = r2.Scale(fine, r2.Sub(p, box.Min))
		r, _, b, _ := img.At(int(math.Round(p.X)), int(math.Round(p.Y))).RGBA()
		return b > r+r/8
	}
	var in, out, n int
	for _, p := range res.Report.MeasuredPieces() {
		m := r2.Vec{X: p.Middle()[0], Y: p.Middle()[1]}
		for _, q := range p.Outline {
			at := r2.Vec{X: q[0], Y: q[1]}
			away := r2.Unit(r2.Sub(at, m))
			n++
			if !blue(r2.Sub(at, r2.Scale(2, away))) {
				in++
			}
			if blue(r2.Add(at, r2.Scale(2, away))) {
				out++
			}
		}
	}
	if n == 0 || in < n*95/100 || out < n*85/100 { // shadows dull the blue beside a slice
		t.Errorf("of %d points 2 mm inside %d are fish, 2 mm outside %d are field", n, in, out)
	}
}

// Of a photo without a mat the whole is kept, upright and small, and none of one that
// cannot be read.
func TestViewWithoutAMat(t *testing.T) {
	img := image.NewRGBA(image.Rect(0, 0, 1600, 1200))
	for i := range img.Pix {
		img.Pix[i] = 128
	}
	draw.Draw(img, image.Rect(0, 0, 1600, 300), image.White, image.Point{}, draw.Src) // the top, as stored
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, nil); err != nil {
		t.Fatal(err)
	}
	turned := append([]byte{0xff, 0xd8, 0xff, 0xe1, 0, 34, 'E', 'x', 'i', 'f', 0, 0, 'M', 'M', 0, 42, 0, 0, 0, 8, 0, 1, 1, 0x12, 0, 3, 0, 0, 0, 1, 0, 6, 0, 0, 0, 0, 0, 0}, b.Bytes()[2:]...)
	res, err := Tray(t.Context(), Photos{First: Photo{"a.jpg", turned}}, ticket.Ticket{Standard: standard.Default()})
	if err != nil {
		t.Fatal(err)
	}
	text, err := res.View()
	if err != nil {
		t.Fatal(err)
	}
	got, err := jpeg.Decode(bytes.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	if size := got.Bounds().Size(); size != (image.Point{877, 1170}) {
		t.Fatalf("the view is %v px", size)
	}
	right, _, _, _ := got.At(860, 600).RGBA() // what was on top lies at the right
	left, _, _, _ := got.At(20, 600).RGBA()
	if right>>8 < 240 || left>>8 > 200 {
		t.Errorf("right %d, left %d: it is not upright", right>>8, left>>8)
	}
	if text, err := Unreadable("a.jpg", ticket.Ticket{}, photo.ErrUnreadable).View(); text != nil || err != nil {
		t.Errorf("%d bytes, %v of a file that is no photo", len(text), err)
	}
}
