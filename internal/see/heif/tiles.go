package heif

// #include "libde265.h"
import "C"

import (
	"errors"
	"image"
	"runtime"
	"sync"
	"sync/atomic"
	"unsafe"
)

// errNotPlain says that a grid's tiles are not as phones write them.
var errNotPlain = errors.New("no plain grid")

var loadDecoder = sync.OnceValue(func() error {
	if C.load_de265() != nil {
		return errNotPlain // libheif may know another one
	}
	return nil
})

// fits reports whether the whole, upright, is of a size.
func (g *grid) fits(width, height int) bool {
	if g.quarters%2 == 1 {
		width, height = height, width
	}
	return g.width == width && g.height == height
}

// decode decodes the tiles, on all processors, straight into the upright picture:
// libheif 1.15 takes each by RGB and back, even where the colours stay the same, which
// is a third of the time. All tiles must be of one even size.
func (g *grid) decode() (*image.YCbCr, error) {
	if err := loadDecoder(); err != nil {
		return nil, err
	}
	size := image.Rect(0, 0, g.width, g.height)
	if g.quarters%2 == 1 {
		size.Max.X, size.Max.Y = g.height, g.width
	}
	out := image.NewYCbCr(size, image.YCbCrSubsampleRatio420)
	tile, err := g.tile(out, 0, image.Point{})
	if err != nil {
		return nil, err
	}
	var next atomic.Int64
	var all sync.WaitGroup
	errs := make([]error, runtime.NumCPU())
	for i := range errs {
		all.Go(func() {
			for n := int(next.Add(1)); n < len(g.tiles) && errs[i] == nil; n = int(next.Add(1)) {
				_, errs[i] = g.tile(out, n, tile)
			}
		})
	}
	all.Wait()
	for _, err := range errs {
		if err != nil {
			return nil, err
		}
	}
	return out, nil
}

// tile decodes one tile into its place and gives its size, which must be the one
// given unless that is zero.
func (g *grid) tile(out *image.YCbCr, n int, want image.Point) (size image.Point, err error) {
	var t C.heif_tile
	defer C.free_tile(&t)
	C.decode_tile((*C.uint8_t)(&g.tiles[n][0]), C.size_t(len(g.tiles[n])), &t)
	if t.wrong != nil {
		return size, errors.New(C.GoString(t.wrong))
	}
	size = image.Pt(int(t.width), int(t.height))
	covers := size.X*g.columns >= g.width && size.X*(g.columns-1) < g.width && size.Y*g.rows >= g.height && size.Y*(g.rows-1) < g.height
	if !covers || size.X%2 == 1 || size.Y%2 == 1 || want != (image.Point{}) && size != want || !g.colours && !asJPEG(int(t.matrix), t.full_range != 0) {
		return size, errNotPlain
	}
	at := image.Pt(size.X*(n%g.columns), size.Y*(n/g.columns))
	for i, to := range [][]byte{out.Y, out.Cb, out.Cr} {
		by, stride := 1, out.YStride
		if i > 0 {
			by, stride = 2, out.CStride
		}
		p := place{to, stride, (g.width + by - 1) / by, (g.height + by - 1) / by, g.quarters}
		at, size := at.Div(by), size.Div(by)
		for y := range min(size.Y, p.height-at.Y) {
			row := unsafe.Slice((*byte)(unsafe.Add(unsafe.Pointer(t.planes[i]), y*int(t.strides[i]))), min(size.X, p.width-at.X))
			p.put(at.X, at.Y+y, row)
		}
	}
	return size, nil
}

// place is a plane of the upright picture; its size is that before it is turned.
type place struct {
	to                      []byte
	stride                  int
	width, height, quarters int
}

// put writes a row that begins at x and y before it is turned.
func (p place) put(x, y int, row []byte) {
	at, step := y*p.stride+x, 1
	switch p.quarters {
	case 0:
		copy(p.to[at:], row)
		return
	case 1:
		at, step = (p.width-1-x)*p.stride+y, -p.stride
	case 2:
		at, step = (p.height-1-y)*p.stride+p.width-1-x, -1
	case 3:
		at, step = x*p.stride+p.height-1-y, p.stride
	}
	for _, v := range row {
		p.to[at] = v
		at += step
	}
}
