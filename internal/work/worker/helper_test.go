package worker

import (
	"bytes"
	"image"
	"image/jpeg"
	"testing"

	"golang.org/x/image/draw"

	"netagauge/internal/core/fatal"
)

// scaledJPEG is a picture with a longer side of so many pixels.
func scaledJPEG(t testing.TB, img image.Image, side int) []byte {
	t.Helper()
	b := img.Bounds()
	scale := float64(side) / float64(max(b.Dx(), b.Dy()))
	big := image.NewRGBA(image.Rect(0, 0, int(scale*float64(b.Dx())), int(scale*float64(b.Dy()))))
	draw.ApproxBiLinear.Scale(big, big.Rect, img, b, draw.Src, nil)
	var out bytes.Buffer
	fatal.If(t, jpeg.Encode(&out, big, &jpeg.Options{Quality: 90}))
	return out.Bytes()
}
