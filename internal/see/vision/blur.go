package vision

import (
	"errors"
	"image"

	"gocv.io/x/gocv"
)

// Blur returns a copy of a plane blurred by a Gaussian of sigma pixels.
func Blur(g *image.Gray, sigma float64) (*image.Gray, error) {
	if !(sigma > 0 && sigma <= maxSigma) {
		return nil, errors.New("a plane cannot be blurred that much")
	}
	return smoothed(g, func(src gocv.Mat, dst *gocv.Mat) {
		gocv.GaussianBlur(src, dst, image.Point{}, sigma, sigma, gocv.BorderReplicate)
	})
}

// smoothed is what a filter of OpenCV makes of a plane, written where it stays.
func smoothed(g *image.Gray, filter func(src gocv.Mat, dst *gocv.Mat)) (*image.Gray, error) {
	src, err := matOf(g)
	if err != nil {
		return nil, err
	}
	defer src.Close()
	out := image.NewGray(image.Rect(0, 0, g.Rect.Dx(), g.Rect.Dy()))
	dst, err := matOf(out)
	if err != nil {
		return nil, err
	}
	defer dst.Close()
	filter(src, &dst)
	return out, nil
}

// maxSigma bounds the kernel's size, px.
const maxSigma = 50
