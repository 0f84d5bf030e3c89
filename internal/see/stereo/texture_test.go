package stereo

import (
	"image"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
)

// A picture that grows by 8 to the right and by 3 downward is sampled in between its
// pixels as it grows; what lies off it is told.
func TestStripIsBilinear(t *testing.T) {
	g := image.NewGray(image.Rect(0, 0, 10, 8))
	for i := range g.Pix {
		g.Pix[i] = uint8(8*(i%g.Stride) + 3*(i/g.Stride))
	}
	v, mask, out := View{Luma: g}, []bool{true, false, true}, make([]int32, 3)
	if !v.strip(r2.Vec{X: 2.25, Y: 3.75}, r2.Vec{X: 0.5, Y: 0.25}, mask, out) {
		t.Error("places in the picture lie off it")
	}
	for k, want := range []float64{8*2.25 + 3*3.75, 0, 8*3.25 + 3*4.25} {
		if got := float64(out[k]) / one; got != want {
			t.Errorf("place %d is %.3f, want %.3f", k, got, want)
		}
	}
	if v.strip(r2.Vec{X: 8, Y: 3}, r2.Vec{X: 0.5}, mask, out) || v.strip(r2.Vec{X: -0.1, Y: 3}, r2.Vec{X: 0.5}, mask, out) {
		t.Error("places off the picture were sampled")
	}
}
