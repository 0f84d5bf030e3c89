package stereo

import (
	"testing"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/see/parallax"
)

// One outline is measured to the other where that lies within 9 mm: what is farther off
// along a normal is another side, or another slice.
func TestFarOutlinesAreNotCompared(t *testing.T) {
	rectangle := func(x float64) (o []r2.Vec) {
		corners := []r2.Vec{{X: x}, {X: x + 80}, {X: x + 80, Y: 35}, {X: x, Y: 35}}
		for i, a := range corners {
			for k := range 20 {
				o = append(o, r2.Add(a, r2.Scale(float64(k)/20, r2.Sub(corners[(i+1)%4], a))))
			}
		}
		return o
	}
	eye := parallax.Eye{Foot: r2.Vec{X: 40, Y: 17}, Height: 400}
	for shift, compared := range map[float64]bool{8: true, 10: false} {
		ends := 0
		for _, g := range gapsOf(rectangle(0), rectangle(shift), eye, eye) {
			if g.n.X < -0.99 { // the short side that looks away from where the other went
				ends++
			}
		}
		if (ends > 10) != compared {
			t.Errorf("%g mm off: %d places of a short side are compared", shift, ends)
		}
	}
}
