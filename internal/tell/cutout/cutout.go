// Package cutout cuts one slice out of the picture of its tray and stands it upright, so
// that it can be shown alone at its true size. Lengths are in mm in the mat frame (x right,
// y down).
package cutout

import (
	"image"
	"math"

	"golang.org/x/image/draw"
	"golang.org/x/image/math/f64"
	"gonum.org/v1/gonum/spatial/r2"
)

// PxPerMM is how finely a slice is cut out: what a phone shows at true size, and as much
// as most views have.
const PxPerMM = 6.0

// rim is how much of the mat is shown around a slice, mm.
const rim = 5.0

// Upright is a part of a view, that shows a box of the mat: an outline with its axis, so
// many degrees from x, standing upright. What lies outside of the view is black.
func Upright(view image.Image, box r2.Box, outline []r2.Vec, axisDeg float64) *image.RGBA {
	sin, cos := math.Sincos((90 - axisDeg) * math.Pi / 180)
	turn := func(p r2.Vec) r2.Vec { return r2.Vec{X: cos*p.X - sin*p.Y, Y: sin*p.X + cos*p.Y} }
	low, high := r2.Vec{X: math.Inf(1), Y: math.Inf(1)}, r2.Vec{X: math.Inf(-1), Y: math.Inf(-1)}
	for _, p := range outline {
		q := turn(p)
		low = r2.Vec{X: math.Min(low.X, q.X), Y: math.Min(low.Y, q.Y)}
		high = r2.Vec{X: math.Max(high.X, q.X), Y: math.Max(high.Y, q.Y)}
	}
	low, high = r2.Sub(low, r2.Vec{X: rim, Y: rim}), r2.Add(high, r2.Vec{X: rim, Y: rim})
	out := image.NewRGBA(image.Rect(0, 0, px(high.X-low.X), px(high.Y-low.Y)))
	draw.Draw(out, out.Rect, image.NewUniform(image.Black), image.Point{}, draw.Src)
	// From the view's px to mm, turned, and to the px of the picture.
	from := view.Bounds()
	scale := r2.Vec{X: (box.Max.X - box.Min.X) / float64(from.Dx()), Y: (box.Max.Y - box.Min.Y) / float64(from.Dy())}
	at := r2.Scale(PxPerMM, r2.Sub(turn(r2.Vec{X: box.Min.X - scale.X*float64(from.Min.X), Y: box.Min.Y - scale.Y*float64(from.Min.Y)}), low))
	m := f64.Aff3{PxPerMM * cos * scale.X, -PxPerMM * sin * scale.Y, at.X, PxPerMM * sin * scale.X, PxPerMM * cos * scale.Y, at.Y}
	draw.BiLinear.Transform(out, m, view, from, draw.Src, nil)
	return out
}

func px(mm float64) int { return max(1, int(math.Round(PxPerMM*mm))) }

// Size is what a picture cut out shows, in mm.
func Size(b image.Rectangle) (width, height float64) {
	return float64(b.Dx()) / PxPerMM, float64(b.Dy()) / PxPerMM
}
