package vision

import (
	"errors"
	"image"
	"math"
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
		at := make([]place, l.Width)
		for y := from; y < to; y++ {
			light.places(l, y, at)
			light.read(src.Y, at, out.Y[y*out.YStride:])
			colour.places(l, y, at)
			colour.read(src.Cb, at, out.Cb[y*out.CStride:])
			colour.read(src.Cr, at, out.Cr[y*out.CStride:])
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
	fx, fy uint16
}

const parts = 32

// places finds where one row of the wanted picture lies in a plane. Colour samples
// sit in the middle of the pixels they span (JFIF 1.02).
func (p plane) places(l Lattice, y int, out []place) {
	kx, ky := 1/float64(p.sx), 1/float64(p.sy)
	right, bottom := int32(p.w-1)*parts, int32(p.h-1)*parts
	j, fy := y/l.Step, float64(y%l.Step)/float64(l.Step)
	for i := 0; i*l.Step < l.Width; i++ {
		a, b := l.Points[j*l.Cols+i], l.Points[j*l.Cols+i+1]
		if fy > 0 {
			c, d := l.Points[(j+1)*l.Cols+i], l.Points[(j+1)*l.Cols+i+1]
			a = r2.Add(r2.Scale(1-fy, a), r2.Scale(fy, c))
			b = r2.Add(r2.Scale(1-fy, b), r2.Scale(fy, d))
		}
		step := r2.Scale(1/float64(l.Step), r2.Sub(b, a))
		ax, dx, ay, dy := a.X*kx, step.X*kx, a.Y*ky, step.Y*ky
		k := 0.0
		cells := out[i*l.Step : min((i+1)*l.Step, l.Width)]
		for c := range cells {
			u := min(max(inParts(ax+k*dx+0.5*kx-0.5), 0), right)
			v := min(max(inParts(ay+k*dy+0.5*ky-0.5), 0), bottom)
			col, row := min(u/parts, int32(p.w-2)), min(v/parts, int32(p.h-2))
			cells[c] = place{row*int32(p.stride) + col, uint16(u - col*parts), uint16(v - row*parts)}
			k++
		}
	}
}

// inParts rounds to whole parts, by a sum whose last bit is one; what is no number or
// more than 2^17 off gives some whole number.
func inParts(v float64) int32 {
	const one = 3 << 22
	return int32(math.Float32bits(float32(v)*parts+one) - math.Float32bits(one))
}

// read reads a plane at places between its samples, bilinear.
func (p plane) read(pix []byte, at []place, out []byte) {
	out = out[:len(at)]
	for i, q := range at {
		fx, fy := uint32(q.fx), uint32(q.fy)
		up, down := pix[q.at:], pix[int(q.at)+p.stride:]
		top := (parts-fx)*uint32(up[0]) + fx*uint32(up[1])
		bottom := (parts-fx)*uint32(down[0]) + fx*uint32(down[1])
		out[i] = uint8(((parts-fy)*top + fy*bottom + parts*parts/2) / (parts * parts))
	}
}
