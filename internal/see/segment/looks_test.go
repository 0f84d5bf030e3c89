package segment

import (
	"image"
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/see/parallax"
)

// A picture that is brighter from 10 mm on: on either side the looks are the
// logarithm of the light and the colours by it, and at the step what lies between.
func TestLooksOfAStep(t *testing.T) {
	p := image.NewYCbCr(image.Rect(0, 0, 80, 40), image.YCbCrSubsampleRatio444)
	for i := range p.Y {
		p.Y[i], p.Cb[i], p.Cr[i] = 72, 108, 168
		if i%p.YStride >= 40 {
			p.Y[i] = 152
		}
	}
	s := Upright{Picture: p, PxPerMM: 4}.Looks([]r2.Vec{{X: 2, Y: 2}, {X: 18, Y: 2}, {X: 18, Y: 8}, {X: 2, Y: 8}})
	if s.X0 != 8 || s.Y0 != 8 || s.Wide != 64 || s.High != 24 {
		t.Fatalf("%d × %d pixels from %d, %d are looked at", s.Wide, s.High, s.X0, s.Y0)
	}
	at := func(x float64) parallax.Look { return s.At[12*s.Wide+int(4*x)-s.X0] }
	for _, c := range []struct{ x, light float64 }{{5, 80}, {15, 160}, {2, 80}} {
		got, want := at(c.x), [3]float64{math.Log(c.light), -20 / c.light, 40 / c.light}
		for k := range want {
			if math.Abs(float64(got[k])-want[k]) > 1e-6 {
				t.Errorf("at x = %.0f it looks %.4f, want %.4f", c.x, got, want)
			}
		}
	}
	if got := float64(at(10)[0]); got <= math.Log(80) || got >= math.Log(160) {
		t.Errorf("at the step the light is %.2f, want what lies between", math.Exp(got))
	}
}
