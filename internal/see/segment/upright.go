package segment

import (
	"image"
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/see/mat"
	"netagauge/internal/see/vision"
)

// Upright is the mat seen from straight above: PxPerMM pixels a millimetre,
// the paper's top-left corner in the middle of pixel (0, 0).
type Upright struct {
	Picture *image.YCbCr
	PxPerMM float64
}

// uprightPxPerMM is fine enough to find every piece and to look at; outlines
// are traced in the photo itself.
const uprightPxPerMM = 4

// Rectify turns the photo into the upright mat.
func Rectify(photo *image.YCbCr, f mat.Found) (Upright, error) {
	size := r2.Scale(uprightPxPerMM, f.Layout.Paper)
	l := vision.NewLattice(int(math.Round(size.X)), int(math.Round(size.Y)), 16, func(p r2.Vec) r2.Vec {
		return f.Camera.Project(r2.Scale(1.0/uprightPxPerMM, p), 0)
	})
	p, err := vision.Warp(photo, l)
	return Upright{p, uprightPxPerMM}, err
}

// Light is its brightness; it shares the picture's memory.
func (u Upright) Light() *image.Gray { return lightOf(u.Picture) }

// rect is a box of the mat in the upright picture.
func (u Upright) rect(b r2.Box) image.Rectangle {
	return image.Rect(int(b.Min.X*u.PxPerMM), int(b.Min.Y*u.PxPerMM), int(b.Max.X*u.PxPerMM), int(b.Max.Y*u.PxPerMM))
}

// points takes pixels of a part of the picture that begins at from to the mat, mm.
func (u Upright) points(px []image.Point, from image.Point) []r2.Vec {
	out := make([]r2.Vec, len(px))
	for i, p := range px {
		out[i] = r2.Vec{X: float64(p.X+from.X) / u.PxPerMM, Y: float64(p.Y+from.Y) / u.PxPerMM}
	}
	return out
}

// crop returns a part of the upright picture; it shares memory with it.
func crop(p *image.YCbCr, r image.Rectangle) *image.YCbCr {
	sub := p.SubImage(r).(*image.YCbCr)
	return &image.YCbCr{
		Y: sub.Y, Cb: sub.Cb, Cr: sub.Cr, YStride: sub.YStride, CStride: sub.CStride,
		SubsampleRatio: sub.SubsampleRatio, Rect: image.Rect(0, 0, r.Dx(), r.Dy()),
	}
}

// lightOf is a picture's brightness; it shares its memory.
func lightOf(p *image.YCbCr) *image.Gray {
	return &image.Gray{Pix: p.Y, Stride: p.YStride, Rect: p.Rect}
}

// withLight returns the picture with another brightness of its own size.
func withLight(p *image.YCbCr, light *image.Gray) *image.YCbCr {
	w, h := p.Rect.Dx(), p.Rect.Dy()
	out := image.NewYCbCr(image.Rect(0, 0, w, h), image.YCbCrSubsampleRatio444)
	for y := range h {
		copy(out.Y[y*out.YStride:][:w], light.Pix[y*light.Stride:])
		copy(out.Cb[y*out.CStride:][:w], p.Cb[y*p.CStride:])
		copy(out.Cr[y*out.CStride:][:w], p.Cr[y*p.CStride:])
	}
	return out
}
