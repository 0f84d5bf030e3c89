package phonetest

import (
	"image"
	"image/color"
	"math"
)

// rgb runs f on every pixel's red, green and blue, 0 to 1.
func (p *Photo) rgb(f func(r, g, b float64) (float64, float64, float64)) {
	out := image.NewYCbCr(p.Rect, image.YCbCrSubsampleRatio444)
	for y := range p.Rect.Dy() {
		for x := range p.Rect.Dx() {
			c := p.YCbCrAt(x, y)
			r, g, b := color.YCbCrToRGB(c.Y, c.Cb, c.Cr)
			fr, fg, fb := f(float64(r)/255, float64(g)/255, float64(b)/255)
			i := out.YOffset(x, y)
			out.Y[i], out.Cb[i], out.Cr[i] = color.RGBToYCbCr(clamp(255*fr), clamp(255*fg), clamp(255*fb))
		}
	}
	p.YCbCr = out // written again at half the colour resolution
}

// gains are a white balance, or an exposure, in linear light by a gamma of 2.2.
func (p *Photo) gains(r, g, b float64) {
	k := func(v, gain float64) float64 { return v * math.Pow(gain, 1/2.2) }
	p.rgb(func(x, y, z float64) (float64, float64, float64) { return k(x, r), k(y, g), k(z, b) })
}

// curve is an S curve; at 1 it is the smooth step.
func (p *Photo) curve(k float64) {
	s := func(v float64) float64 { v = math.Min(1, v); return (1-k)*v + k*v*v*(3-2*v) }
	p.rgb(func(r, g, b float64) (float64, float64, float64) { return s(r), s(g), s(b) })
}

// gamma below one lifts shadows.
func (p *Photo) gamma(k float64) {
	p.rgb(func(r, g, b float64) (float64, float64, float64) {
		return math.Pow(r, k), math.Pow(g, k), math.Pow(b, k)
	})
}

// fringe magnifies red and shrinks blue by so many pixels at the corner.
func (p *Photo) fringe(px float64) {
	w, h := p.Rect.Dx(), p.Rect.Dy()
	cx, cy := float64(w)/2, float64(h)/2
	k := px / math.Hypot(cx, cy)
	src := p.YCbCr
	at := func(x, y int, scale float64) color.YCbCr {
		sx := int(math.Round(cx + (float64(x)-cx)*scale))
		sy := int(math.Round(cy + (float64(y)-cy)*scale))
		return src.YCbCrAt(min(max(sx, 0), w-1), min(max(sy, 0), h-1))
	}
	out := image.NewYCbCr(p.Rect, image.YCbCrSubsampleRatio444)
	for y := range h {
		for x := range w {
			c, red, blue := src.YCbCrAt(x, y), at(x, y, 1-k), at(x, y, 1+k)
			_, g, _ := color.YCbCrToRGB(c.Y, c.Cb, c.Cr)
			r, _, _ := color.YCbCrToRGB(red.Y, red.Cb, red.Cr)
			_, _, b := color.YCbCrToRGB(blue.Y, blue.Cb, blue.Cr)
			i := out.YOffset(x, y)
			out.Y[i], out.Cb[i], out.Cr[i] = color.RGBToYCbCr(r, g, b)
		}
	}
	p.YCbCr = out
}

// messenger sends a small copy without what the camera wrote.
func (p *Photo) messenger(width int) {
	k := float64(p.Rect.Dx()) / float64(width)
	if k > 1 {
		out := image.NewYCbCr(image.Rect(0, 0, width, int(float64(p.Rect.Dy())/k)), image.YCbCrSubsampleRatio444)
		for y := range out.Rect.Dy() {
			for x := range width {
				p.shrunk(out, x, y, k)
			}
		}
		p.YCbCr = out
	}
	p.Quality, p.exif = 70, nil
}

// shrunk sets a pixel to the mean of those it stands for.
func (p *Photo) shrunk(out *image.YCbCr, x, y int, k float64) {
	var l, b, r, n int
	for sy := int(float64(y) * k); sy < max(int(float64(y+1)*k), int(float64(y)*k)+1); sy++ {
		for sx := int(float64(x) * k); sx < max(int(float64(x+1)*k), int(float64(x)*k)+1); sx++ {
			c := p.YCbCrAt(sx, sy)
			l, b, r, n = l+int(c.Y), b+int(c.Cb), r+int(c.Cr), n+1
		}
	}
	i := out.YOffset(x, y)
	out.Y[i], out.Cb[i], out.Cr[i] = uint8(l/n), uint8(b/n), uint8(r/n)
}

// crop cuts a share off the left.
func (p *Photo) crop(share float64) {
	from := int(share*float64(p.Rect.Dx())) &^ 15
	out := image.NewYCbCr(image.Rect(0, 0, p.Rect.Dx()-from, p.Rect.Dy()), image.YCbCrSubsampleRatio444)
	for y := range out.Rect.Dy() {
		for x := range out.Rect.Dx() {
			c := p.YCbCrAt(x+from, y)
			i := out.YOffset(x, y)
			out.Y[i], out.Cb[i], out.Cr[i] = c.Y, c.Cb, c.Cr
		}
	}
	p.YCbCr = out
}

// blurred is a plane after three passes of a box of 2·radius + 1, nearly a Gaussian.
func blurred(pix []byte, stride, w, h, radius int) []float64 {
	v, tmp := make([]float64, w*h), make([]float64, w*h)
	for y := range h {
		for x := range w {
			v[y*w+x] = float64(pix[y*stride+x])
		}
	}
	for range 3 {
		for y := range h {
			box(v[y*w:], tmp[y*w:], 1, w, radius)
		}
		for x := range w {
			box(tmp[x:], v[x:], w, h, radius)
		}
	}
	return v
}

// box is a running mean over n values step apart; the ends go on as they are.
func box(from, to []float64, step, n, radius int) {
	at := func(i int) float64 { return from[step*min(max(i, 0), n-1)] }
	sum := 0.0
	for i := -radius; i <= radius; i++ {
		sum += at(i)
	}
	for i := range n {
		to[i*step] = sum / float64(2*radius+1)
		sum += at(i+radius+1) - at(i-radius)
	}
}
