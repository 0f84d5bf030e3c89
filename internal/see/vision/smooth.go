package vision

import (
	"errors"
	"image"
)

// Smooth returns a copy of a picture whose planes are of one size, each pixel
// the mean of the square of 2·radius+1 pixels around it.
func Smooth(p *image.YCbCr, radius int) (*image.YCbCr, error) {
	w, h := p.Rect.Dx(), p.Rect.Dy()
	if w < 3 || h < 3 || radius < 1 || p.SubsampleRatio != image.YCbCrSubsampleRatio444 {
		return nil, errors.New("this picture cannot be smoothed")
	}
	out := image.NewYCbCr(image.Rect(0, 0, w, h), image.YCbCrSubsampleRatio444)
	side := 2*radius + 1
	return out, errors.Join(
		blur(plane{p.Y, w, h, p.YStride}, plane{out.Y, w, h, out.YStride}, side),
		blur(plane{p.Cb, w, h, p.CStride}, plane{out.Cb, w, h, out.CStride}, side),
		blur(plane{p.Cr, w, h, p.CStride}, plane{out.Cr, w, h, out.CStride}, side))
}
