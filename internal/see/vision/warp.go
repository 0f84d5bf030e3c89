package vision

import (
	"errors"
	"fmt"
	"image"
	"sync"

	"gocv.io/x/gocv"
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

// maxRemapSide is OpenCV's limit on the sides of pictures given to remap.
const maxRemapSide = 32767

// Warp returns the source seen through the lattice, its three planes at one
// size. Places outside the source repeat its edge.
func Warp(src *image.YCbCr, l Lattice) (*image.YCbCr, error) {
	b := src.Rect
	switch {
	case b.Dx() < 2 || b.Dy() < 2 || l.Width < 1 || l.Height < 1:
		return nil, errors.New("nothing to warp")
	case max(b.Dx(), b.Dy(), l.Width, l.Height) > maxRemapSide:
		return nil, fmt.Errorf("picture of %d × %d px is too large to warp", b.Dx(), b.Dy())
	case l.Step < 1 || len(l.Points) != l.Cols*l.Rows:
		return nil, errors.New("lattice and its points disagree")
	}
	out := image.NewYCbCr(image.Rect(0, 0, l.Width, l.Height), image.YCbCrSubsampleRatio444)
	sx, sy := chromaStep(src)
	cw, ch := (b.Dx()+sx-1)/sx, (b.Dy()+sy-1)/sy
	var bright, colour error
	var wg sync.WaitGroup
	wg.Go(func() { bright = l.remap(plane{src.Y, b.Dx(), b.Dy(), src.YStride, 1, 1, out.Y}) })
	wg.Go(func() {
		colour = l.remap(plane{src.Cb, cw, ch, src.CStride, sx, sy, out.Cb}, plane{src.Cr, cw, ch, src.CStride, sx, sy, out.Cr})
	})
	wg.Wait()
	return out, errors.Join(bright, colour)
}

// plane is one plane of the source and where its warped pixels go; sx and sy
// are its subsampling.
type plane struct {
	pix          []byte
	w, h, stride int
	sx, sy       int
	dst          []byte
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

// remap warps planes of one subsampling. Colour samples sit in the middle of the
// pixels they span (JFIF 1.02).
func (l Lattice) remap(planes ...plane) error {
	mx := gocv.NewMatWithSize(l.Height, l.Width, gocv.MatTypeCV32FC1)
	defer mx.Close()
	my := gocv.NewMatWithSize(l.Height, l.Width, gocv.MatTypeCV32FC1)
	defer my.Close()
	xs, err := mx.DataPtrFloat32()
	if err != nil {
		return err
	}
	ys, err := my.DataPtrFloat32()
	if err != nil {
		return err
	}
	l.fill(xs, ys, float64(planes[0].sx), float64(planes[0].sy))
	for _, p := range planes {
		if err := p.through(&mx, &my); err != nil {
			return err
		}
	}
	return nil
}

// through fills dst with what the plane shows at the places of the maps.
func (p plane) through(mx, my *gocv.Mat) error {
	if p.w < 1 || p.h < 1 || len(p.pix) < (p.h-1)*p.stride+p.w {
		return errors.New("picture plane is cut short")
	}
	rows := p.pix
	if p.stride != p.w {
		rows = packed(p.pix, p.w, p.h, p.stride)
	}
	src, err := gocv.NewMatFromBytes(p.h, p.w, gocv.MatTypeCV8UC1, rows[:p.w*p.h])
	if err != nil {
		return err
	}
	defer src.Close()
	out := gocv.NewMat()
	defer out.Close()
	gocv.Remap(src, &out, mx, my, gocv.InterpolationLinear, gocv.BorderReplicate, colorZero)
	data, err := out.DataPtrUint8()
	if err != nil {
		return err
	}
	copy(p.dst, data)
	return nil
}

// packed copies a plane without its stride's slack.
func packed(pix []byte, w, h, stride int) []byte {
	out := make([]byte, w*h)
	for y := range h {
		copy(out[y*w:(y+1)*w], pix[y*stride:y*stride+w])
	}
	return out
}

// fill writes the interpolated places into full-size maps.
func (l Lattice) fill(xs, ys []float32, sx, sy float64) {
	inv := 1 / float64(l.Step)
	for y := range l.Height {
		j, fy := y/l.Step, float64(y%l.Step)*inv
		for i := 0; i*l.Step < l.Width; i++ {
			a, b := l.Points[j*l.Cols+i], l.Points[j*l.Cols+i+1]
			if fy > 0 {
				c, d := l.Points[(j+1)*l.Cols+i], l.Points[(j+1)*l.Cols+i+1]
				a = r2.Add(r2.Scale(1-fy, a), r2.Scale(fy, c))
				b = r2.Add(r2.Scale(1-fy, b), r2.Scale(fy, d))
			}
			step := r2.Scale(inv, r2.Sub(b, a))
			at := y*l.Width + i*l.Step
			for k := range min(l.Step, l.Width-i*l.Step) {
				xs[at+k] = float32((a.X+float64(k)*step.X+0.5)/sx - 0.5)
				ys[at+k] = float32((a.Y+float64(k)*step.Y+0.5)/sy - 0.5)
			}
		}
	}
}
