package jpeg

import (
	"bytes"
	"image"
	"image/color"
	"image/jpeg"
	"math"
	"testing"
)

// painted is a picture of soft and hard colour changes, its corner not at 0, 0.
func painted() *image.RGBA {
	whole := image.NewRGBA(image.Rect(0, 0, 301, 207))
	for y := range 207 {
		for x := range 301 {
			c := color.RGBA{uint8(128 + 90*math.Sin(float64(x)/23)), uint8(y), uint8(200 - x/2), 255}
			if (x/40+y/40)%3 == 0 {
				c = color.RGBA{250, 120, 90, 255}
			}
			whole.SetRGBA(x, y, c)
		}
	}
	return whole.SubImage(image.Rect(13, 6, 290, 201)).(*image.RGBA)
}

// off is the root mean square difference of a JPEG, by Go's decoder, from the picture.
func off(t *testing.T, data []byte, want *image.RGBA) float64 {
	t.Helper()
	got, err := jpeg.Decode(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	b := want.Rect
	if got.Bounds().Size() != b.Size() {
		t.Fatalf("size %v, want %v", got.Bounds().Size(), b.Size())
	}
	var sum float64
	for y := range b.Dy() {
		for x := range b.Dx() {
			r, g, bl, _ := got.At(x, y).RGBA()
			w := want.RGBAAt(b.Min.X+x, b.Min.Y+y)
			for _, d := range [3]float64{float64(r>>8) - float64(w.R), float64(g>>8) - float64(w.G), float64(bl>>8) - float64(w.B)} {
				sum += d * d
			}
		}
	}
	return math.Sqrt(sum / float64(3*b.Dx()*b.Dy()))
}

// What it writes lies as near to the picture as what Go's encoder writes, in about as
// many bytes: both take the tables of ISO/IEC 10918-1, annex K, at one quality.
func TestEncodeLikeGo(t *testing.T) {
	odd := painted()
	even := odd.SubImage(image.Rect(14, 6, 290, 200)).(*image.RGBA)
	half := image.NewYCbCr(even.Rect, image.YCbCrSubsampleRatio420)
	for y := half.Rect.Min.Y; y < half.Rect.Max.Y; y += 2 {
		for x := half.Rect.Min.X; x < half.Rect.Max.X; x += 2 {
			var blue, red int
			for _, q := range []image.Point{{x, y}, {x + 1, y}, {x, y + 1}, {x + 1, y + 1}} {
				c := even.RGBAAt(q.X, q.Y)
				l, cb, cr := color.RGBToYCbCr(c.R, c.G, c.B)
				half.Y[half.YOffset(q.X, q.Y)] = l
				blue, red = blue+int(cb), red+int(cr)
			}
			i := half.COffset(x, y)
			half.Cb[i], half.Cr[i] = uint8((blue+2)/4), uint8((red+2)/4)
		}
	}
	for _, c := range []struct {
		img  image.Image
		want *image.RGBA
	}{{odd, odd}, {half, even}} {
		for _, quality := range []int{40, 85, 95} {
			ours, err := Encode(c.img, quality)
			if err != nil {
				t.Fatal(err)
			}
			var goes bytes.Buffer
			if err := jpeg.Encode(&goes, c.want, &jpeg.Options{Quality: quality}); err != nil {
				t.Fatal(err)
			}
			a, b := off(t, ours, c.want), off(t, goes.Bytes(), c.want)
			if a > 1.05*b+0.3 || math.Abs(float64(len(ours))/float64(goes.Len())-1) > 0.1 {
				t.Errorf("%T, quality %d: off by %.2f in %d bytes, Go by %.2f in %d", c.img, quality, a, len(ours), b, goes.Len())
			}
		}
	}
}

func TestEncodeOthers(t *testing.T) {
	if _, err := Encode(image.NewRGBA(image.Rectangle{}), 85); err == nil {
		t.Error("an empty picture is written")
	}
	for _, img := range []image.Image{image.NewGray(image.Rect(0, 0, 20, 10)), image.NewYCbCr(image.Rect(0, 0, 20, 10), image.YCbCrSubsampleRatio422),
		image.NewYCbCr(image.Rect(1, 2, 21, 12), image.YCbCrSubsampleRatio420)} {
		data, err := Encode(img, 85)
		if err != nil {
			t.Fatal(err)
		}
		if c, err := jpeg.DecodeConfig(bytes.NewReader(data)); err != nil || c.Width != 20 || c.Height != 10 {
			t.Errorf("%T: %v, %v", img, c, err)
		}
	}
}
