package segment

import (
	"image"
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/see/parallax"
)

// Looks is how the picture looks within an outline, mm, evened out over three pixels
// either way; beyond the edge of what is looked at it goes on as there.
func (u Upright) Looks(outline []r2.Vec) parallax.Looks {
	box := r2.Box{Min: outline[0], Max: outline[0]}
	for _, p := range outline {
		box.Min = r2.Vec{X: min(box.Min.X, p.X), Y: min(box.Min.Y, p.Y)}
		box.Max = r2.Vec{X: max(box.Max.X, p.X), Y: max(box.Max.Y, p.Y)}
	}
	r := u.rect(box).Intersect(u.Picture.Rect)
	out := parallax.Looks{PxPerMM: u.PxPerMM, X0: r.Min.X, Y0: r.Min.Y, Wide: r.Dx(), High: r.Dy()}
	out.At = make([]parallax.Look, 0, out.Wide*out.High)
	raw := make([]parallax.Look, out.Wide+2) // a row with its ends twice
	var rows [3][]parallax.Look              // sums of three along a row, by rows from 0
	for k := range rows {
		rows[k] = make([]parallax.Look, out.Wide)
	}
	u.sums(r.Min.X, r.Min.Y, raw, rows[0])
	copy(rows[2], rows[0])
	for y := range out.High {
		u.sums(r.Min.X, min(r.Min.Y+y+1, r.Max.Y-1), raw, rows[(y+1)%3])
		for x, a := range rows[0] {
			b, c := &rows[1][x], &rows[2][x]
			out.At = append(out.At, parallax.Look{(a[0] + b[0] + c[0]) / 9, (a[1] + b[1] + c[1]) / 9, (a[2] + b[2] + c[2]) / 9})
		}
	}
	return out
}

// sums are of three looks along row y from x0 on; raw is room for the looks.
func (u Upright) sums(x0, y int, raw, out []parallax.Look) {
	p := u.Picture
	light := p.Y[p.YOffset(x0, y):][:len(out)]
	cb, cr := p.Cb[p.COffset(x0, y):][:len(out)], p.Cr[p.COffset(x0, y):][:len(out)]
	for i, l := range light {
		raw[i+1] = parallax.Look{logs[l], (float32(cb[i]) - 128) * by[l], (float32(cr[i]) - 128) * by[l]}
	}
	raw[0], raw[len(raw)-1] = raw[1], raw[len(raw)-2]
	for i := range out {
		a, b, c := &raw[i], &raw[i+1], &raw[i+2]
		out[i] = parallax.Look{a[0] + b[0] + c[0], a[1] + b[1] + c[1], a[2] + b[2] + c[2]}
	}
}

// logs and by are the logarithm of each light and one over it.
var logs, by = func() (logs, by [256]float32) {
	for l := range logs {
		logs[l], by[l] = float32(math.Log(float64(l)+dim)), float32(1/(float64(l)+dim))
	}
	return logs, by
}()

// LightAt is the logarithm of the light at a place of the mat, mm; false beyond what is
// looked at.
func (u Upright) LightAt(p r2.Vec) (float64, bool) {
	x, y := int(math.Round(p.X*u.PxPerMM)), int(math.Round(p.Y*u.PxPerMM))
	if !(image.Point{X: x, Y: y}).In(u.Picture.Rect) {
		return 0, false
	}
	return float64(logs[u.Picture.Y[u.Picture.YOffset(x, y)]]), true
}
