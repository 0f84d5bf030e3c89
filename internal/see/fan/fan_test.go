package fan

import (
	"image"
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
)

const pxPerMM = 4.0

// row draws slices of 80 by so many mm, each a step farther on and on top of the
// last, turned as a whole: streaks of the fish's own, a shadow of some depth on the
// lower slice beside each seam. A depth of 0 shows no seam.
func row(n int, width, step, turn, depth float64, mirrored bool) (*image.Gray, []r2.Vec) {
	const long = 80.0
	whole := width + step*float64(n-1)
	r := rand.New(rand.NewPCG(uint64(n), uint64(10*step)))
	streaks := make([]float64, 400)
	for i := range streaks {
		streaks[i] = 25 * r.Float64()
	}
	sin, cos := math.Sincos(turn)
	out := image.NewGray(image.Rect(0, 0, 1680, 1188))
	for i := range out.Pix {
		x, y := float64(i%out.Stride)/pxPerMM-210, float64(i/out.Stride)/pxPerMM-148
		u, v := cos*x+sin*y+whole/2, -sin*x+cos*y+long/2
		if u < 0 || u > whole || v < 0 || v > long {
			out.Pix[i] = 70
			continue
		}
		if mirrored {
			u = whole - u
		}
		// The slice on top at u, and how far the next one's side lies off.
		k := min(n-1, int(u/step))
		light := 130 + streaks[int(v*2+float64(37*k)+0.4*u)%len(streaks)] + 8*r.Float64()
		if next := float64(k+1)*step - u; k < n-1 && next < 4 {
			light -= depth * (1 - next/4)
		}
		out.Pix[i] = uint8(light)
	}
	var outline []r2.Vec
	for _, c := range [4]r2.Vec{{}, {X: whole}, {X: whole, Y: long}, {Y: long}} {
		u, v := c.X-whole/2, c.Y-long/2
		outline = append(outline, r2.Vec{X: cos*u - sin*v + 210, Y: sin*u + cos*v + 148})
	}
	return out, outline
}

// Rows drawn with a known number of slices, each showing a third to two thirds: nine
// of ten are counted, none wrongly.
func TestCountsRows(t *testing.T) {
	tried, counted := 0, 0
	for n := Fewest; n <= 10; n++ {
		for k, shown := range []float64{0.36, 0.5, 0.64} {
			light, outline := row(n, 32, 32*shown, 0.3*float64(k), 40, n%2 == 0)
			got, sure := Count(light, pxPerMM, outline)
			if tried++; sure {
				counted++
			}
			if sure && got != n {
				t.Errorf("%d slices that show %.0f %%: %d", n, 100*shown, got)
			}
		}
	}
	if counted*10 < tried*9 {
		t.Errorf("%d of %d rows counted", counted, tried)
	}
}

// Where no seams show nothing is counted, nor is a single slice or what no slice
// can be.
func TestCountsNothingUnseen(t *testing.T) {
	for name, c := range map[string]struct {
		n           int
		width, step float64
		depth       float64
	}{
		"a slab without seams":    {1, 150, 1, 0},
		"five without a shadow":   {5, 32, 16, 0},
		"one slice":               {1, 36, 1, 0},
		"two slices, not a row":   {2, 34, 20, 40},
		"steps wider than slices": {4, 30, 30, 40},
	} {
		light, outline := row(c.n, c.width, c.step, 0.2, c.depth, false)
		if n, sure := Count(light, pxPerMM, outline); sure {
			t.Errorf("%s: %d slices", name, n)
		}
	}
	if n, sure := Count(image.NewGray(image.Rect(0, 0, 4, 4)), pxPerMM, []r2.Vec{{}, {X: 1}, {Y: 1}}); sure {
		t.Errorf("a speck off the picture: %d slices", n)
	}
}
