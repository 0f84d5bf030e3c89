package inspect

import (
	"bytes"
	"image"
	"image/draw"
	"image/jpeg"
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/core/piece"
	"netagauge/internal/see/shape"
)

// A cropped photo has its lens's axis out of its middle, and few tags to tell so.
// What it says of a slice that is whole holds the scene's truth within the stated
// intervals; what tells too little of the lens is refused.
func TestCropped(t *testing.T) {
	data, tr := sample(t, "tray-a4")
	for _, c := range []struct {
		name   string
		x, y   float64 // share of the photo that is left, from its upper left corner
		slices int     // whole in what is left
	}{
		{"3/5 of its width", 0.6, 1, 3},
		{"3/4 of its height", 1, 0.75, 3},
		{"a corner of 3/8", 0.375, 0.375, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := check(t, input("tray", cropped(t, data, c.x, c.y)))
			if c.slices == 0 {
				if r.Status != piece.TrayRefused || len(r.Problems) == 0 || r.Problems[0].Code != "few-tags" {
					t.Errorf("status %q, problems %+v; want it refused for few-tags", r.Status, r.Problems)
				}
				return
			}
			if n := hold(t, r, tr); n < c.slices {
				t.Errorf("%d slices measured, %d are whole in the photo; problems %+v", n, c.slices, r.Problems)
			}
		})
	}
}

func cropped(t *testing.T, data []byte, x, y float64) []byte {
	t.Helper()
	img, err := jpeg.Decode(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	w, h := float64(img.Bounds().Dx()), float64(img.Bounds().Dy())
	part := image.NewRGBA(image.Rect(0, 0, int(x*w), int(y*h)))
	draw.Draw(part, part.Rect, img, image.Point{}, draw.Src)
	var b bytes.Buffer
	if err := jpeg.Encode(&b, part, &jpeg.Options{Quality: 92}); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// hold counts the slices that are measured, each within its own interval.
func hold(t *testing.T, r piece.Tray, tr truth) int {
	t.Helper()
	for _, p := range r.MeasuredPieces() {
		at := outlineOf(p.Outline).Centroid()
		found := false
		for _, s := range tr.Slices {
			o := outlineOf(s.Outline)
			if r2.Norm(r2.Sub(o.Centroid(), at)) > 10 {
				continue
			}
			found = true
			m, err := shape.Measure(o)
			if err != nil {
				t.Fatal(err)
			}
			within(t, p.Number, s.Species, "length mm", p.Length.X, m.Length, p.Length.U)
			within(t, p.Number, s.Species, "width mm", p.Width.X, m.Width, p.Width.U)
			within(t, p.Number, s.Species, "area mm²", p.Area.X, m.Area, p.Area.U)
			if math.Max(p.Length.U, p.Width.U) > 5 {
				t.Errorf("piece %d: length ± %.1f mm, width ± %.1f mm say nothing", p.Number, p.Length.U, p.Width.U)
			}
		}
		if !found {
			t.Errorf("piece %d is no slice of the scene", p.Number)
		}
	}
	return len(r.MeasuredPieces())
}
