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
	out := image.NewYCbCr(image.Rect(0, 0, w, h), image.YCbCrSubsampleRatio444)
	for _, plane := range []struct {
		src, dst []byte
		stride   int
	}{{p.Y, out.Y, p.YStride}, {p.Cb, out.Cb, p.CStride}, {p.Cr, out.Cr, p.CStride}} {
		m, err := matOf(&image.Gray{Pix: plane.src, Stride: plane.stride, Rect: image.Rect(0, 0, w, h)})
		if err != nil {
			return nil, err
		}
		gocv.Blur(m, &m, image.Pt(2*radius+1, 2*radius+1))
		data, err := m.DataPtrUint8()
		if err == nil {
			copy(plane.dst, data)
		}
		m.Close()
		if err != nil {
			return nil, err
		}
	}
	return out, nil
}
