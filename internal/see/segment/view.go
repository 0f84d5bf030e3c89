package segment

import (
	"image"
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/see/mat"
	"netagauge/internal/see/vision"
)

// viewPxPerMM bounds how fine a view is: no finer than any phone's photo is sharp.
const viewPxPerMM = 8

// viewStrip is how many rows are warped at once, an even number, which bounds the
// memory it takes.
const viewStrip = 256

// View is a part of the mat, a box of its nominal mm, seen from straight above at
// the photo's own resolution, ready to be written as JPEG: its colour has half of that.
func View(photo *image.YCbCr, f mat.Found, box r2.Box) (*image.YCbCr, error) {
	fine := math.Min(f.PxPerMM(), viewPxPerMM)
	size := r2.Scale(fine, r2.Sub(box.Max, box.Min))
	w, h := 2*int(math.Round(size.X/2)), 2*int(math.Round(size.Y/2))
	out := image.NewYCbCr(image.Rect(0, 0, w, h), image.YCbCrSubsampleRatio420)
	for top := 0; top < h; top += viewStrip {
		l := vision.NewLattice(w, min(viewStrip, h-top), 16, func(p r2.Vec) r2.Vec {
			p.Y += float64(top)
			return f.Camera.Project(r2.Add(box.Min, r2.Scale(1/fine, p)), 0)
		})
		part, err := vision.WarpHalf(photo, l)
		if err != nil {
			return nil, err
		}
		copy(out.Y[top*out.YStride:], part.Y)
		copy(out.Cb[top/2*out.CStride:], part.Cb)
		copy(out.Cr[top/2*out.CStride:], part.Cr)
	}
	return out, nil
}
