package vision

import (
	"errors"
	"image"

	"gocv.io/x/gocv"
)

// Blur returns a copy of a plane blurred by a Gaussian of sigma pixels.
func Blur(g *image.Gray, sigma float64) (*image.Gray, error) {
	w, h := g.Rect.Dx(), g.Rect.Dy()
	if !(sigma > 0 && sigma <= maxSigma) {
		return nil, errors.New("a plane cannot be blurred that much")
	}
	m, err := matOf(g)
	if err != nil {
		return nil, err
	}
	defer m.Close()
	gocv.GaussianBlur(m, &m, image.Point{}, sigma, sigma, gocv.BorderReplicate)
	data, err := m.DataPtrUint8()
	if err != nil {
		return nil, err
	}
	out := image.NewGray(image.Rect(0, 0, w, h))
	copy(out.Pix, data)
	return out, nil
}

// maxSigma bounds the kernel's size, px.
const maxSigma = 50
