package vision

import (
	"errors"
	"image"

	"gocv.io/x/gocv"
)

// Smooth returns a copy of a picture whose planes are of one size, each pixel
// the mean of the square of 2·radius+1 pixels around it.
func Smooth(p *image.YCbCr, radius int) (*image.YCbCr, error) {
	w, h := p.Rect.Dx(), p.Rect.Dy()
	if w < 3 || h < 3 || radius < 1 || p.SubsampleRatio != image.YCbCrSubsampleRatio444 {
		return nil, errors.New("this picture cannot be smoothed")
	}
	out := &image.YCbCr{YStride: w, CStride: w, SubsampleRatio: image.YCbCrSubsampleRatio444, Rect: image.Rect(0, 0, w, h)}
	for _, plane := range []struct {
		src    []byte
		stride int
		dst    *[]byte
	}{{p.Y, p.YStride, &out.Y}, {p.Cb, p.CStride, &out.Cb}, {p.Cr, p.CStride, &out.Cr}} {
		even, err := smoothed(&image.Gray{Pix: plane.src, Stride: plane.stride, Rect: image.Rect(0, 0, w, h)}, func(src gocv.Mat, dst *gocv.Mat) {
			gocv.Blur(src, dst, image.Pt(2*radius+1, 2*radius+1))
		})
		if err != nil {
			return nil, err
		}
		*plane.dst = even.Pix
	}
	return out, nil
}
