package jpeg

/*
#include <turbojpeg.h>
*/
import "C"

import (
	"bytes"
	"errors"
	"image"
	"image/jpeg"
	"runtime"
)

// Encode writes a picture as JPEG of a quality from 1 to 100, its colour at half of
// the resolution. An opaque RGBA and a YCbCr of full resolution are written by
// libjpeg-turbo, in a fraction of the time that Go's own encoder takes, which writes
// whatever else there is.
func Encode(img image.Image, quality int) ([]byte, error) {
	if img.Bounds().Empty() {
		return nil, errors.New("an empty picture is no JPEG")
	}
	size, q := img.Bounds().Size(), C.int(min(max(quality, 1), 100))
	switch src := img.(type) {
	case *image.RGBA:
		return compressed(size, func(h C.tjhandle, to **C.uchar, n *C.ulong) C.int {
			return C.tjCompress2(h, (*C.uchar)(&src.Pix[0]), C.int(size.X), C.int(src.Stride), C.int(size.Y), C.TJPF_RGBX, to, n, C.TJSAMP_420, q, flags)
		}, &src.Pix[0])
	case *image.YCbCr:
		if src.SubsampleRatio != image.YCbCrSubsampleRatio444 {
			break
		}
		half := halved(src)
		planes := [3]*C.uchar{(*C.uchar)(&half.Y[0]), (*C.uchar)(&half.Cb[0]), (*C.uchar)(&half.Cr[0])}
		strides := [3]C.int{C.int(half.YStride), C.int(half.CStride), C.int(half.CStride)}
		return compressed(size, func(h C.tjhandle, to **C.uchar, n *C.ulong) C.int {
			return C.tjCompressFromYUVPlanes(h, &planes[0], C.int(size.X), &strides[0], C.int(size.Y), C.TJSAMP_420, to, n, q, flags)
		}, &half.Y[0], &half.Cb[0], &half.Cr[0])
	}
	var b bytes.Buffer
	err := jpeg.Encode(&b, img, &jpeg.Options{Quality: quality})
	return b.Bytes(), err
}

const flags = C.TJFLAG_ACCURATEDCT | C.TJFLAG_NOREALLOC

// compressed is what a call of the library writes for a picture of a size whose pixels
// begin at from.
func compressed(size image.Point, call func(h C.tjhandle, to **C.uchar, n *C.ulong) C.int, from ...*byte) ([]byte, error) {
	h := C.tjInitCompress()
	if h == nil {
		return nil, errors.New("libjpeg-turbo gave no encoder")
	}
	defer C.tjDestroy(h)
	out := make([]byte, C.tjBufSize(C.int(size.X), C.int(size.Y), C.TJSAMP_420))
	to, n := (*C.uchar)(&out[0]), C.ulong(len(out))
	var pin runtime.Pinner
	defer pin.Unpin()
	pin.Pin(to)
	for _, p := range from {
		pin.Pin(p)
	}
	if call(h, &to, &n) != 0 {
		return nil, failure(h)
	}
	return bytes.Clone(out[:n]), nil
}

// halved is a picture with its colour at half of the resolution, and its last row and
// column twice where they are odd in number: the library reads whole colour samples.
func halved(p *image.YCbCr) *image.YCbCr {
	w, h := p.Rect.Dx(), p.Rect.Dy()
	out := image.NewYCbCr(image.Rect(0, 0, (w+1)/2*2, (h+1)/2*2), image.YCbCrSubsampleRatio420)
	for y := range out.Rect.Dy() {
		row := out.Y[y*out.YStride:][:out.YStride]
		copy(row[copy(row, p.Y[min(y, h-1)*p.YStride:][:w]):], p.Y[min(y, h-1)*p.YStride+w-1:][:1])
	}
	for y := range (h + 1) / 2 {
		up, down := 2*y*p.CStride, min(2*y+1, h-1)*p.CStride
		for x := range (w + 1) / 2 {
			a, b := 2*x, min(2*x+1, w-1)
			mean := func(c []byte) uint8 {
				return uint8((int(c[up+a]) + int(c[up+b]) + int(c[down+a]) + int(c[down+b]) + 2) / 4)
			}
			out.Cb[y*out.CStride+x], out.Cr[y*out.CStride+x] = mean(p.Cb), mean(p.Cr)
		}
	}
	return out
}
