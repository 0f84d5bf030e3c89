package mat

import (
	"image"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// Appearance is what a photo looks like as a whole, for saying why no mat was
// found in it.
type Appearance struct {
	Middle  float64 // median brightness, 0 to 255
	Burnt   float64 // share of pixels at the top of the range
	Blurred bool    // in some direction no step is sharper than a dozen pixels
}

// Look samples the brightness of a photo and its steepest steps in eight
// directions. A sharp photo of anything has steep steps in every direction;
// one out of focus has none, one smeared by motion none along the motion.
func Look(g *image.Gray) Appearance {
	w, h := g.Rect.Dx(), g.Rect.Dy()
	var hist [256]int
	const directions = 8
	steps := make([][]float64, directions)
	n := 0
	for y := 2; y < h-2; y += 3 {
		for x := 2; x < w-2; x += 3 {
			i := y*g.Stride + x
			hist[g.Pix[i]]++
			n++
			dx := float64(g.Pix[i+1]) - float64(g.Pix[i-1])
			dy := float64(g.Pix[i+g.Stride]) - float64(g.Pix[i-g.Stride])
			if m := math.Hypot(dx, dy); m > 4 {
				a := math.Mod(math.Atan2(dy, dx)+2*math.Pi, math.Pi) / math.Pi * directions
				steps[int(a)%directions] = append(steps[int(a)%directions], m)
			}
		}
	}
	if n == 0 {
		return Appearance{}
	}
	a := Appearance{Burnt: float64(hist[255]+hist[254]+hist[253]) / float64(n)}
	lo, hi := 0, 0
	for v, sum := 0, 0; v < 256; v++ {
		sum += hist[v]
		if sum <= n/100 {
			lo = v
		}
		if sum <= n/2 {
			a.Middle = float64(v)
		}
		if sum <= n*99/100 {
			hi = v
		}
	}
	weakest := math.Inf(1)
	for _, s := range steps {
		weakest = math.Min(weakest, topOf(s, n))
	}
	// A step between two pixels of a third of the whole contrast or more is sharp. Our setting.
	a.Blurred = weakest < 0.33*float64(hi-lo)
	return a
}

// topOf is the value that one in twenty thousand of n samples exceeds.
func topOf(s []float64, n int) float64 {
	k := 1 + n/20000
	if len(s) < k {
		return 0
	}
	slices.Sort(s)
	return s[len(s)-k]
}

// PxPerMM is the photo's resolution in the middle of the field.
func (f Found) PxPerMM() float64 {
	return f.Camera.PxPerMM(r2.Scale(0.5, r2.Add(f.Layout.Field.Min, f.Layout.Field.Max)))
}
