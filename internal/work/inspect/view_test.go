package inspect

import (
	"bytes"
	"image/jpeg"
	"math"
	"os"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/judge/standard"
	"netagauge/internal/judge/ticket"
	"netagauge/internal/see/mat"
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
