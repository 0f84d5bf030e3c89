package cutout

import (
	"image"
	"image/color"
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
)

// A white bar of 60 by 20 mm, drawn askew on a grey field by another rule (each pixel
// asked for itself), stands upright and measures 60 by 20 mm in the picture cut out,
// wherever its view begins.
func TestUpright(t *testing.T) {
	for _, deg := range []float64{0, 30, 90, 135, -60} {
		const scale = 4 // px per mm
		box := r2.Box{Min: r2.Vec{X: 20, Y: 10}, Max: r2.Vec{X: 180, Y: 150}}
		middle := r2.Vec{X: 110, Y: 70}
		sin, cos := math.Sincos(deg * math.Pi / 180)
		view := image.NewGray(image.Rect(0, 0, int(scale*160), int(scale*140)))
		for y := range view.Rect.Dy() {
			for x := range view.Rect.Dx() {
				p := r2.Sub(r2.Vec{X: 20 + (float64(x)+0.5)/scale, Y: 10 + (float64(y)+0.5)/scale}, middle)
				along, across := p.X*cos+p.Y*sin, -p.X*sin+p.Y*cos
				level := uint8(100)
				if math.Abs(along) <= 30 && math.Abs(across) <= 10 {
					level = 255
				}
				view.SetGray(x, y, color.Gray{Y: level})
			}
		}
		var outline []r2.Vec
		for _, c := range [][2]float64{{-30, -10}, {30, -10}, {30, 10}, {-30, 10}} {
			outline = append(outline, r2.Add(middle, r2.Vec{X: c[0]*cos - c[1]*sin, Y: c[0]*sin + c[1]*cos}))
		}
		got := Upright(view, box, outline, deg)
		w, h := Size(got.Rect)
		if math.Abs(w-30) > 0.2 || math.Abs(h-70) > 0.2 {
			t.Errorf("%g°: %.1f × %.1f mm shown", deg, w, h)
		}
		white := 0.0
		wide, high := map[int]bool{}, map[int]bool{}
		for y := range got.Rect.Dy() {
			for x := range got.Rect.Dx() {
				if got.RGBAAt(x, y).R > 177 {
					white++
					wide[x], high[y] = true, true
				}
			}
		}
		if area := white / (PxPerMM * PxPerMM); math.Abs(area-1200) > 15 {
			t.Errorf("%g°: %.0f mm² white", deg, area)
		}
		if w, h := float64(len(wide))/PxPerMM, float64(len(high))/PxPerMM; math.Abs(w-20) > 0.5 || math.Abs(h-60) > 0.5 {
			t.Errorf("%g°: %.1f × %.1f mm white", deg, w, h)
		}
	}
}
