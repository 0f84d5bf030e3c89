package vision

import (
	"encoding/binary"
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
	w, h := src.Rect.Dx(), src.Rect.Dy()
	sx, sy := chromaStep(src)
	light, colour := plane{w, h, src.YStride, 1, 1}, plane{(w + sx - 1) / sx, (h + sy - 1) / sy, src.CStride, sx, sy}
	switch {
	case colour.w < 2 || colour.h < 2 || l.Width < 1 || l.Height < 1:
		return nil, errors.New("nothing to warp")
	case l.Step < 1 || len(l.Points) != l.Cols*l.Rows || (l.Cols-1)*l.Step < l.Width || (l.Rows-1)*l.Step < l.Height:
		return nil, errors.New("lattice and its points disagree")
	case len(src.Y) < light.size() || len(src.Cb) < colour.size() || len(src.Cr) < colour.size():
		return nil, errors.New("picture plane is cut short")
	}
	out := image.NewYCbCr(image.Rect(0, 0, l.Width, l.Height), image.YCbCrSubsampleRatio444)
	InBands(l.Height, func(from, to int) {
		for y := from; y < to; y++ {
			row := out.Y[y*out.YStride:][:l.Width]
			light.row(l, y, func(at []place, x int) { light.read(src.Y, at, row[x:]) })
			cb, cr := out.Cb[y*out.CStride:][:l.Width], out.Cr[y*out.CStride:][:l.Width]
			colour.row(l, y, func(at []place, x int) { colour.readBoth(src.Cb, src.Cr, at, cb[x:], cr[x:]) })
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

// place lies between four samples, the first of which is at: so many parts of the
// way to the next column and row.
type place struct {
	at     int32
	fx, fy uint8
}

// A place is counted in whole parts of a sample, and on its way along a row in steps
// so fine that nothing adds up.
const (
	parts = 32
	fine  = 1 << 32
)

// row finds where one row of the wanted picture lies in a plane, and has its places
// read step by step. Colour samples sit in the middle of the pixels they span (JFIF
// 1.02).
func (p plane) row(l Lattice, y int, read func(at []place, x int)) {
	kx, ky := 1/float64(p.sx), 1/float64(p.sy)
	j, fy := y/l.Step, float64(y%l.Step)/float64(l.Step)
	out := make([]place, l.Step)
	for i := 0; i*l.Step < l.Width; i++ {
		a, b := l.Points[j*l.Cols+i], l.Points[j*l.Cols+i+1]
		if fy > 0 {
			c, d := l.Points[(j+1)*l.Cols+i], l.Points[(j+1)*l.Cols+i+1]
			a = r2.Add(r2.Scale(1-fy, a), r2.Scale(fy, c))
			b = r2.Add(r2.Scale(1-fy, b), r2.Scale(fy, d))
		}
		step := r2.Scale(1/float64(l.Step), r2.Sub(b, a))
		u, v := fixed((a.X+0.5)*kx-0.5), fixed((a.Y+0.5)*ky-0.5)
		at := out[:min(l.Step, l.Width-i*l.Step)]
		p.along(u, v, fixed(step.X*kx), fixed(step.Y*ky), at)
		read(at, i*l.Step)
	}
}

// fixed is a number in fine steps; what is no number or beyond 2^30 gives some place
// that along clamps.
func fixed(v float64) int64 { return int64(min(max(v, -1<<30), 1<<30) * fine) }

// along fills places from u, v on in steps of du, dv.
func (p plane) along(u, v, du, dv int64, out []place) {
	const half, part = fine / parts / 2, 27
	right, bottom := int64(p.w-1)*parts, int64(p.h-1)*parts
	u, v = u+half, v+half
	n := int64(len(out) - 1)
	lo, hi := min(u, u+n*du)>>part, max(u, u+n*du)>>part
	top, low := min(v, v+n*dv)>>part, max(v, v+n*dv)>>part
	if lo >= 0 && hi < right && top >= 0 && low < bottom {
		for i := range out {
			x, y := uint64(u)>>part, uint64(v)>>part
			out[i] = place{int32(int(y/parts)*p.stride + int(x/parts)), uint8(x % parts), uint8(y % parts)}
			u, v = u+du, v+dv
		}
		return
	}
	for i := range out {
		x, y := min(max(u>>part, 0), right), min(max(v>>part, 0), bottom)
		col, row := min(x/parts, int64(p.w-2)), min(y/parts, int64(p.h-2))
		out[i] = place{int32(int(row)*p.stride + int(col)), uint8(x - col*parts), uint8(y - row*parts)}
		u, v = u+du, v+dv
	}
}

// read reads a plane at places between its samples, bilinear.
func (p plane) read(pix []byte, at []place, out []byte) {
	out = out[:len(at)]
	for i, q := range at {
		up, down := pair(pix[q.at:]), pair(pix[int(q.at)+p.stride:])
		out[i] = q.across(uint32(parts-q.fy)*up + uint32(q.fy)*down)
	}
}

// readBoth is read for both planes of colour.
func (p plane) readBoth(b, r []byte, at []place, outB, outR []byte) {
	outB, outR = outB[:len(at)], outR[:len(at)]
	for i, q := range at {
		up := uint64(pair(b[q.at:])) | uint64(pair(r[q.at:]))<<32
		down := uint64(pair(b[int(q.at)+p.stride:])) | uint64(pair(r[int(q.at)+p.stride:]))<<32
		both := uint64(parts-q.fy)*up + uint64(q.fy)*down
		outB[i], outR[i] = q.across(uint32(both)), q.across(uint32(both>>32))
	}
}

// pair is a sample in the lower half of a word and the next one in the upper half, so
// that one multiplication serves both.
func pair(pix []byte) uint32 {
	w := uint32(binary.LittleEndian.Uint16(pix))
	return (w | w<<8) & 0x00ff00ff
}

// across lies between a pair of columns, each already between its rows.
func (q place) across(columns uint32) uint8 {
	return uint8((uint32(parts-q.fx)*(columns&0xffff) + uint32(q.fx)*(columns>>16) + parts*parts/2) / (parts * parts))
}
