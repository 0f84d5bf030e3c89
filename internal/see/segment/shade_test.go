package segment

import (
	"image"
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
)

// A picture that is brighter from 10 mm on: on either side the looks are the
// logarithm of the light and the colours by it, and at the step what lies between.
func TestShadeOfAStep(t *testing.T) {
	p := image.NewYCbCr(image.Rect(0, 0, 80, 40), image.YCbCrSubsampleRatio444)
	for i := range p.Y {
		p.Y[i], p.Cb[i], p.Cr[i] = 72, 108, 168
		if i%p.YStride >= 40 {
			p.Y[i] = 152
		}
	}
	s := Upright{Picture: p, PxPerMM: 4}.Shade([]r2.Vec{{X: 2, Y: 2}, {X: 18, Y: 2}, {X: 18, Y: 8}, {X: 2, Y: 8}})
	for _, c := range []struct{ x, light float64 }{{5, 80}, {15, 160}} {
		got, ok := s.At(r2.Vec{X: c.x, Y: 5})
		want := Look{math.Log(c.light), -20 / c.light, 40 / c.light}
		for k := range want {
			if !ok || math.Abs(got[k]-want[k]) > 1e-9 {
				t.Errorf("at x = %.0f it looks %.4f, want %.4f", c.x, got, want)
			}
		}
	}
	if got, _ := s.At(r2.Vec{X: 10, Y: 5}); got[0] <= math.Log(80) || got[0] >= math.Log(160) {
		t.Errorf("at the step the light is %.2f, want what lies between", math.Exp(got[0]))
	}
	if _, ok := s.At(r2.Vec{X: 19, Y: 5}); ok {
		t.Error("a place beyond the piece was looked at")
	}
}
