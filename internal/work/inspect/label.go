package inspect

import (
	"image"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/see/label"
	"netagauge/internal/see/mat"
	"netagauge/internal/see/photo"
	"netagauge/internal/see/vision"
)

// labelPxPerMM is fine enough for the code's modules, of about half a
// millimetre, and labelRim the white left around it, mm.
const labelPxPerMM, labelRim = 10.0, 1.5

// labelOf reads the label printed on the mat; "" when it has none or none can
// be read.
func labelOf(pic *photo.Picture, f mat.Found) string {
	q := f.Layout.QR
	corner := r2.Sub(q.Min, r2.Vec{X: labelRim, Y: labelRim})
	size := r2.Add(q.Size(), r2.Vec{X: 2 * labelRim, Y: 2 * labelRim})
	l := vision.NewLattice(int(labelPxPerMM*size.X), int(labelPxPerMM*size.Y), 16, func(p r2.Vec) r2.Vec {
		return f.Camera.Project(r2.Add(corner, r2.Scale(1/labelPxPerMM, p)), 0)
	})
	w, err := vision.Warp(pic.YCbCr, l)
	if err != nil {
		return ""
	}
	g := &image.Gray{Pix: w.Y, Stride: w.YStride, Rect: w.Rect}
	if blank(g) {
		return ""
	}
	return label.Read(g)
}

// blank reports whether a picture holds no ink: looking for a code in bare
// paper takes longer than all the rest of the mat.
func blank(g *image.Gray) bool {
	lo, hi := byte(255), byte(0)
	for _, v := range g.Pix {
		lo, hi = min(lo, v), max(hi, v)
	}
	return hi-lo < 60
}
