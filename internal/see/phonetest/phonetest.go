// Package phonetest does to a photo what phones and messengers do to theirs, for
// tests. The effects are our own, after what cameras are known to do, and have
// nothing in common with the program that rendered the sample trays.
package phonetest

import (
	"bytes"
	"encoding/binary"
	"image"
	"image/jpeg"
	"math"
	"math/rand/v2"
)

// Photo is a decoded photo and how it is written again.
type Photo struct {
	*image.YCbCr
	Quality int    // of the JPEG
	exif    []byte // the APP1 segment, nil when lost on the way
}

// Effect is one thing done to a photo, at three strengths.
type Effect struct {
	Name string
	Do   func(p *Photo, strength int) // strength is 0, 1 or 2
}

// Effects are all effects, the last one several at once.
var Effects = []Effect{
	{"local tone mapping", func(p *Photo, s int) { p.tone([]float64{0.3, 0.6, 0.9}[s]) }},
	{"sharpening", func(p *Photo, s int) { p.sharpen([]float64{0.5, 1, 2}[s]) }},
	{"colour smoothing", func(p *Photo, s int) { p.smoothColour([]int{1, 2, 4}[s]) }},
	{"noise", func(p *Photo, s int) { p.noise([]float64{3, 6, 12}[s]) }},
	{"JPEG", func(p *Photo, s int) { p.Quality = []int{75, 55, 35}[s] }},
	{"warm light", func(p *Photo, s int) { w := []float64{0.06, 0.12, 0.25}[s]; p.gains(1+w, 1, 1-w) }},
	{"cold light", func(p *Photo, s int) { w := []float64{0.06, 0.12, 0.25}[s]; p.gains(1-w, 1, 1+w) }},
	{"saturation", func(p *Photo, s int) { p.saturate([]float64{1.2, 1.5, 2}[s]) }},
	{"pale colours", func(p *Photo, s int) { p.saturate([]float64{0.8, 0.6, 0.4}[s]) }},
	{"contrast curve", func(p *Photo, s int) { p.curve([]float64{0.3, 0.6, 1}[s]) }},
	{"lifted shadows", func(p *Photo, s int) { p.gamma([]float64{0.9, 0.75, 0.6}[s]) }},
	{"darkness", func(p *Photo, s int) { g := []float64{0.75, 0.55, 0.4}[s]; p.gains(g, g, g) }},
	{"colour fringes", func(p *Photo, s int) { p.fringe([]float64{0.5, 1, 2}[s]) }},
	{"messenger", func(p *Photo, s int) { p.messenger([]int{2000, 1600, 1280}[s]) }},
	{"crop", func(p *Photo, s int) { p.crop([]float64{0.08, 0.12, 0.18}[s]) }},
	{"all of a phone", func(p *Photo, s int) {
		p.noise(float64(2 + 2*s))
		p.smoothColour(1 + s)
		p.tone([]float64{0.3, 0.5, 0.7}[s])
		p.sharpen([]float64{0.5, 0.8, 1.2}[s])
		p.Quality = []int{80, 65, 55}[s]
	}},
}

// Taken returns the JPEG after the effect.
func (e Effect) Taken(jpg []byte, strength int) ([]byte, error) {
	img, err := jpeg.Decode(bytes.NewReader(jpg))
	if err != nil {
		return nil, err
	}
	p := &Photo{YCbCr: img.(*image.YCbCr), Quality: 92, exif: app1(jpg)}
	e.Do(p, strength)
	var out bytes.Buffer
	if err := jpeg.Encode(&out, p.YCbCr, &jpeg.Options{Quality: p.Quality}); err != nil {
		return nil, err
	}
	return append(append(out.Bytes()[:2:2], p.exif...), out.Bytes()[2:]...), nil
}

// app1 is the first APP1 segment, marker and length with it.
func app1(jpg []byte) []byte {
	for at := 2; at+4 <= len(jpg) && jpg[at] == 0xff && jpg[at+1] >= 0xe0 && jpg[at+1] <= 0xef; {
		end := at + 2 + int(binary.BigEndian.Uint16(jpg[at+2:]))
		if jpg[at+1] == 0xe1 && end <= len(jpg) {
			return jpg[at:end:end]
		}
		at = end
	}
	return nil
}

func clamp(v float64) uint8 { return uint8(math.Max(0, math.Min(255, math.Round(v)))) }

// light changes every pixel's brightness and leaves its colour.
func (p *Photo) light(f func(x, y int, v float64) float64) {
	for y := range p.Rect.Dy() {
		for x := range p.Rect.Dx() {
			i := y*p.YStride + x
			p.Y[i] = clamp(f(x, y, float64(p.Y[i])))
		}
	}
}

// tone evens brightness out over some 5 % of the picture and strengthens what is
// finer; colour stays, so that its ratio to brightness changes from place to place.
func (p *Photo) tone(k float64) {
	base := blurred(p.Y, p.YStride, p.Rect.Dx(), p.Rect.Dy(), p.Rect.Dx()/40)
	mean := 0.0
	for _, v := range base {
		mean += math.Log(v+8) / float64(len(base))
	}
	p.light(func(x, y int, v float64) float64 {
		b := math.Log(base[y*p.Rect.Dx()+x] + 8)
		return math.Exp(mean+(b-mean)*(1-k)+(math.Log(v+8)-b)*(1+0.4*k)) - 8
	})
}

// sharpen is an unsharp mask of about 1.5 pixels.
func (p *Photo) sharpen(amount float64) {
	soft := blurred(p.Y, p.YStride, p.Rect.Dx(), p.Rect.Dy(), 1)
	p.light(func(x, y int, v float64) float64 { return v + amount*(v-soft[y*p.Rect.Dx()+x]) })
}

// smoothColour hides colour noise by a blur of the colour alone.
func (p *Photo) smoothColour(radius int) {
	w, h := p.colourSize()
	for _, c := range [][]byte{p.Cb, p.Cr} {
		soft := blurred(c, p.CStride, w, h, radius)
		for y := range h {
			for x := range w {
				c[y*p.CStride+x] = clamp(soft[y*w+x])
			}
		}
	}
}

func (p *Photo) colourSize() (w, h int) {
	return p.CStride, len(p.Cb) / p.CStride
}

// noise is that of a small sensor in the dark.
func (p *Photo) noise(sigma float64) {
	rnd := rand.New(rand.NewPCG(1, 2))
	for _, plane := range [][]byte{p.Y, p.Cb, p.Cr} {
		for i, v := range plane {
			plane[i] = clamp(float64(v) + sigma*rnd.NormFloat64())
		}
	}
}

// saturate makes colour stronger or weaker.
func (p *Photo) saturate(k float64) {
	for _, c := range [][]byte{p.Cb, p.Cr} {
		for i, v := range c {
			c[i] = clamp(128 + k*(float64(v)-128))
		}
	}
}
