package segment

import (
	"image"
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/see/mat"
	"netagauge/internal/see/vision"
)

// Upright is the mat, or a part of it, seen from straight above: PxPerMM pixels a
// millimetre, the paper's top-left corner in the middle of pixel (0, 0).
type Upright struct {
	Picture *image.YCbCr
	PxPerMM float64
}

// uprightPxPerMM is fine enough to find every piece and to look at; outlines
// are traced in the photo itself.
const uprightPxPerMM = 4

// rectify turns the photo into the upright mat, as far as it is searched for pieces.
func rectify(photo *image.YCbCr, f mat.Found) (Upright, error) {
	border := r2.Vec{X: marginMM, Y: marginMM}
	return rectified(photo, f, r2.Box{Min: r2.Sub(f.Layout.Field.Min, border), Max: r2.Add(f.Layout.Field.Max, border)}, uprightPxPerMM)
}

// RectifyPaper turns the photo into the upright mat, the whole paper, its longer side
// at most longest px, or as fine as it is searched for 0.
func RectifyPaper(photo *image.YCbCr, f mat.Found, longest int) (Upright, error) {
	fine := float64(uprightPxPerMM)
	if longest > 0 {
		fine = math.Min(fine, float64(longest)/math.Max(f.Layout.Paper.X, f.Layout.Paper.Y))
	}
	return rectified(photo, f, r2.Box{Max: f.Layout.Paper}, fine)
}

// rectified is a box of the mat, mm, as far as it lies on the paper, at so many pixels a
// millimetre. Each pixel is what it is in the whole mat: the lattice keeps its places.
func rectified(photo *image.YCbCr, f mat.Found, box r2.Box, fine float64) (Upright, error) {
	const step = 16
	px := func(v float64) int { return int(math.Round(fine * v)) }
	part := image.Rect(px(box.Min.X), px(box.Min.Y), px(box.Max.X), px(box.Max.Y)).Intersect(image.Rect(0, 0, px(f.Layout.Paper.X), px(f.Layout.Paper.Y)))
	part.Min = image.Pt(part.Min.X/step*step, part.Min.Y/step*step)
	from := r2.Vec{X: float64(part.Min.X), Y: float64(part.Min.Y)}
	p, err := vision.Warp(photo, vision.NewLattice(part.Dx(), part.Dy(), step, func(p r2.Vec) r2.Vec {
		return f.Camera.Project(r2.Scale(1/fine, r2.Add(from, p)), 0)
	}))
	if err != nil {
		return Upright{}, err
	}
	p.Rect = part
	return Upright{p, fine}, nil
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
