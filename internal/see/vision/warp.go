package vision

/*
#cgo CFLAGS: -O3
#include <stdint.h>

// A run is a stretch of a row: where it begins in a plane and its step, in parts of
// 2^32 to a sample.
typedef struct { int64_t u, v, du, dv; } run;

enum { parts = 32, part = 27 }; // a place is counted in parts of a sample, of 2^27 each

static inline int64_t held(int64_t v, int64_t most) { return v < 0 ? 0 : v > most ? most : v; }

// within tells whether n steps from a place on all lie before the last sample.
static inline int within(int64_t u, int64_t du, int n, int last) {
	int64_t end = u + (n - 1) * du;
	return (u < end ? u : end) >= 0 && (u > end ? u : end) >> 32 < last;
}

// between reads between four samples, so many parts of the way to the next ones.
static inline uint8_t between(const uint8_t *at, int stride, unsigned fx, unsigned fy) {
	unsigned left = (parts - fy) * at[0] + fy * at[stride], right = (parts - fy) * at[1] + fy * at[stride + 1];
	return ((parts - fx) * left + fx * right + parts * parts / 2) / (parts * parts);
}

static void read_row(const uint8_t *plane, int w, int h, int stride, const run *r, int step, uint8_t *out, int width) {
	for (int x = 0; x < width; r++) {
		int64_t u = r->u + (1 << (part - 1)), v = r->v + (1 << (part - 1));
		int end = x + step < width ? x + step : width;
		if (within(u, r->du, end - x, w - 1) && within(v, r->dv, end - x, h - 1)) {
			for (; x < end; x++, u += r->du, v += r->dv)
				out[x] = between(plane + (v >> 32) * stride + (u >> 32), stride, (uint32_t)u >> part, (uint32_t)v >> part);
			continue;
		}
		for (; x < end; x++, u += r->du, v += r->dv) {
			int64_t px = held(u >> part, (int64_t)(w - 1) * parts), py = held(v >> part, (int64_t)(h - 1) * parts);
			int64_t col = held(px / parts, w - 2), row = held(py / parts, h - 2);
			out[x] = between(plane + row * stride + col, stride, px - col * parts, py - row * parts);
		}
	}
}

static void halve_row(const uint8_t *up, const uint8_t *down, uint8_t *out, int width) {
	for (int x = 0; x < width; x++)
		out[x] = (up[2 * x] + up[2 * x + 1] + down[2 * x] + down[2 * x + 1] + 2) / 4;
}
*/
import "C"

import (
	"errors"
	"image"
	"runtime"
	"sync"

	"gonum.org/v1/gonum/spatial/r2"
)

// Lattice gives, for every Step-th pixel of the wanted picture, the place in
// the source where it is seen; between them places are interpolated. Points
// holds Cols × Rows places, row by row, and reaches past the picture's far
// edges.
type Lattice struct {
	Width, Height int // wanted picture, px
	Step          int
	Cols, Rows    int
	Points        []r2.Vec
}

// NewLattice fills a lattice from the mapping at, which takes a place in the
// wanted picture to one in the source.
func NewLattice(width, height, step int, at func(r2.Vec) r2.Vec) Lattice {
	l := Lattice{Width: width, Height: height, Step: step, Cols: (width+step-1)/step + 1, Rows: (height+step-1)/step + 1}
	l.Points = make([]r2.Vec, 0, l.Cols*l.Rows)
	for j := range l.Rows {
		for i := range l.Cols {
			l.Points = append(l.Points, at(r2.Vec{X: float64(i * step), Y: float64(j * step)}))
		}
	}
	return l
}

// Warp returns the source seen through the lattice, its three planes at one
// size. Places outside the source repeat its edge.
func Warp(src *image.YCbCr, l Lattice) (*image.YCbCr, error) {
	return warp(src, l, image.YCbCrSubsampleRatio444, 1)
}

// WarpHalf is Warp with the colour at half of the resolution, as most JPEGs have it.
// The lattice's step is even.
func WarpHalf(src *image.YCbCr, l Lattice) (*image.YCbCr, error) {
	return warp(src, l, image.YCbCrSubsampleRatio420, 2)
}

// warp gives every so manieth pixel, either way, a colour of its own.
func warp(src *image.YCbCr, l Lattice, ratio image.YCbCrSubsampleRatio, every int) (*image.YCbCr, error) {
	w, h := src.Rect.Dx(), src.Rect.Dy()
	sx, sy := chromaStep(src)
	light, colour := plane{w, h, src.YStride, 1, 1}, plane{(w + sx - 1) / sx, (h + sy - 1) / sy, src.CStride, sx, sy}
	switch {
	case colour.w < 2 || colour.h < 2 || l.Width < 1 || l.Height < 1:
		return nil, errors.New("nothing to warp")
	case l.Step < 1 || l.Step > maxStep || l.Step%every != 0 || len(l.Points) != l.Cols*l.Rows || (l.Cols-1)*l.Step < l.Width || (l.Rows-1)*l.Step < l.Height:
		return nil, errors.New("lattice and its points disagree")
	case len(src.Y) < light.size() || len(src.Cb) < colour.size() || len(src.Cr) < colour.size():
		return nil, errors.New("picture plane is cut short")
	}
	out := image.NewYCbCr(image.Rect(0, 0, l.Width, l.Height), ratio)
	InBands(l.Height, func(from, to int) {
		runs := make([]C.run, (l.Width+l.Step-1)/l.Step)
		for y := from; y < to; y++ {
			light.row(l, y, 1, runs, [][]byte{src.Y}, [][]byte{out.Y[y*out.YStride:]})
			if c := y / every * out.CStride; y%every == 0 {
				colour.row(l, y/every, every, runs, [][]byte{src.Cb, src.Cr}, [][]byte{out.Cb[c:], out.Cr[c:]})
			}
		}
	})
	return out, nil
}

// InBands runs do on parts of n rows, one for each core.
func InBands(n int, do func(from, to int)) {
	var wg sync.WaitGroup
	bands := runtime.GOMAXPROCS(0)
	for k := range bands {
		wg.Go(func() { do(n*k/bands, n*(k+1)/bands) })
	}
	wg.Wait()
}

// Halved is a picture of which each pixel is the mean of a square of four.
func Halved(g *image.Gray) *image.Gray {
	w, h := g.Rect.Dx()/2, g.Rect.Dy()/2
	out := image.NewGray(image.Rect(0, 0, w, h))
	if w == 0 {
		return out
	}
	InBands(h, func(from, to int) {
		for y := from; y < to; y++ {
			up, down := g.Pix[2*y*g.Stride:][:2*w], g.Pix[(2*y+1)*g.Stride:][:2*w]
			C.halve_row((*C.uint8_t)(&up[0]), (*C.uint8_t)(&down[0]), (*C.uint8_t)(&out.Pix[y*out.Stride]), C.int(w))
		}
	})
	return out
}

// chromaStep returns how many brightness pixels one colour sample spans.
func chromaStep(p *image.YCbCr) (x, y int) {
	switch p.SubsampleRatio {
	case image.YCbCrSubsampleRatio422:
		return 2, 1
	case image.YCbCrSubsampleRatio420:
		return 2, 2
	case image.YCbCrSubsampleRatio440:
		return 1, 2
	case image.YCbCrSubsampleRatio411:
		return 4, 1
	case image.YCbCrSubsampleRatio410:
		return 4, 2
	}
	return 1, 1
}

// plane is the layout of a plane, and how many pixels of the picture a sample spans.
type plane struct{ w, h, stride, sx, sy int }

func (p plane) size() int { return (p.h-1)*p.stride + p.w }

// row reads one row of samples of the wanted picture, each for so many pixels either
// way, from planes of one layout, bilinear. Colour samples sit in the middle of the
// pixels they span (JFIF 1.02). runs is room for the stretches between the lattice's
// places.
func (p plane) row(l Lattice, y, pixels int, runs []C.run, planes, rows [][]byte) {
	kx, ky := 1/float64(p.sx), 1/float64(p.sy)
	middle := float64(pixels-1) / 2 // of a sample's pixels, from the first one's
	j, fy := y*pixels/l.Step, (float64(y*pixels%l.Step)+middle)/float64(l.Step)
	for i := range runs {
		a, b := l.Points[j*l.Cols+i], l.Points[j*l.Cols+i+1]
		if fy > 0 {
			c, d := l.Points[(j+1)*l.Cols+i], l.Points[(j+1)*l.Cols+i+1]
			a = r2.Add(r2.Scale(1-fy, a), r2.Scale(fy, c))
			b = r2.Add(r2.Scale(1-fy, b), r2.Scale(fy, d))
		}
		step := r2.Scale(1/float64(l.Step), r2.Sub(b, a))
		a, step = r2.Add(a, r2.Scale(middle, step)), r2.Scale(float64(pixels), step)
		runs[i] = C.run{fixed((a.X+0.5)*kx - 0.5), fixed((a.Y+0.5)*ky - 0.5), fixed(step.X * kx), fixed(step.Y * ky)}
	}
	for k, from := range planes {
		C.read_row((*C.uint8_t)(&from[0]), C.int(p.w), C.int(p.h), C.int(p.stride), &runs[0], C.int(l.Step/pixels), (*C.uint8_t)(&rows[k][0]), C.int((l.Width+pixels-1)/pixels))
	}
}

// farOff is beyond any picture, and so near that no run of maxStep steps overflows.
const farOff, maxStep = 1 << 24, 64

// fixed is a number in parts of 2^32, so fine that on the way along a run nothing adds
// up; what is no number lies far off, where read_row clamps.
func fixed(v float64) C.int64_t {
	if !(v > -farOff) {
		v = -farOff
	}
	return C.int64_t(min(v, farOff) * (1 << 32))
}
