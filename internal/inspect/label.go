package inspect

import (
	"image"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/label"
	"netagauge/internal/mat"
	"netagauge/internal/photo"
	"netagauge/internal/vision"
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
	return label.Read(&image.Gray{Pix: w.Y, Stride: w.YStride, Rect: w.Rect})
}
