package mat

import (
	"image"
	"math"
	"netagauge/internal/core/rank"

	"gonum.org/v1/gonum/spatial/r2"
)

// How the paper's edge is looked for: on profiles across it, from a little
// inside its place to as far outside as a print at 93 % leaves, mm.
const (
	paperFrom, paperTo = -2.0, 16.0
	paperStep          = 0.25
	paperEvery         = 4.0 // along the side
	paperWindow        = 5   // samples compared on either side of a step
)

// PaperScale tells the print's size against its layout from where the sheet
// ends: the sheet keeps its size when a printer shrinks the layout. It needs the
// edges of two opposite sides, and takes the mean of both pairs where both are
// seen. A trimmed mat, or one on a board of its own whiteness, gives no answer.
// Sheets keep their size to about ±2 mm (ISO 216, from memory), so the answer
// is good to some 0.5 % and tells a shrunk print, not a true one.
func (f Found) PaperScale(g *image.Gray) (scale float64, ok bool) {
	p := f.Layout.Paper
	left, okL := f.margin(g, r2.Vec{}, r2.Vec{Y: p.Y}, r2.Vec{X: -1})
	right, okR := f.margin(g, r2.Vec{X: p.X}, p, r2.Vec{X: 1})
	top, okT := f.margin(g, r2.Vec{}, r2.Vec{X: p.X}, r2.Vec{Y: -1})
	bottom, okB := f.margin(g, r2.Vec{Y: p.Y}, p, r2.Vec{Y: 1})
	var sum, n float64
	if okL && okR {
		sum, n = sum+p.X/(p.X+left+right), n+1
	}
	if okT && okB {
		sum, n = sum+p.Y/(p.Y+top+bottom), n+1
	}
	return sum / n, n > 0
}

// margin is how far the sheet's edge lies outside the layout's along one side,
// mm, when most profiles agree on it.
func (f Found) margin(g *image.Gray, a, b, out r2.Vec) (float64, bool) {
	length := r2.Norm(r2.Sub(b, a))
	var at []float64
	tried := 0
	for d := 12.0; d < length-12; d += paperEvery { // mm: the corners lie nearer
		p := r2.Add(a, r2.Scale(d/length, r2.Sub(b, a)))
		tried++
		if m, ok := f.paperStep(g, p, out); ok {
			at = append(at, m)
		}
	}
	if len(at) == 0 {
		return 0, false
	}
	mid := rank.Median(at)
	agree := 0
	for _, m := range at {
		if math.Abs(m-mid) < 0.6 { // mm: some two samples of a profile, our setting
			agree++
		}
	}
	return mid, agree*10 >= tried*6
}

// paperStep finds the strongest step of light on the profile through p.
func (f Found) paperStep(g *image.Gray, p, out r2.Vec) (float64, bool) {
	n := int((paperTo-paperFrom)/paperStep) + 1
	v := make([]float64, n)
	for i := range v {
		q := f.Camera.Project(r2.Add(p, r2.Scale(paperFrom+float64(i)*paperStep, out)), 0)
		s, ok := sample(g, q.X, q.Y)
		if !ok {
			v = v[:i]
			break
		}
		v[i] = s
	}
	best, at := 0.0, 0
	for i := paperWindow; i+paperWindow <= len(v); i++ {
		if s := math.Abs(mean(v[i-paperWindow:i]) - mean(v[i:i+paperWindow])); s > best {
			best, at = s, i
		}
	}
	// A step of less than 6 % of the light paper is none: a fold or a shadow makes as much. Our setting.
	if at == 0 || best < 0.06*srgbToLinear[uint8(math.Min(255, f.Sharp.Light))] {
		return 0, false
	}
	return paperFrom + (float64(at)-0.5)*paperStep, true
}

// Scaled returns the mat with its print's true size: every place on it, and so
// the camera's, in true mm.
func (f Found) Scaled(scale float64) Found {
	f.Camera.T.X, f.Camera.T.Y, f.Camera.T.Z = f.Camera.T.X*scale, f.Camera.T.Y*scale, f.Camera.T.Z*scale
	return f
}
