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
// the resolution. An opaque RGBA and a YCbCr of just that kind, its sides even, are
// written by libjpeg-turbo, in a fraction of the time that Go's own encoder takes, which
// writes whatever else there is.
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
		if src.SubsampleRatio != image.YCbCrSubsampleRatio420 || (src.Rect.Min.X|src.Rect.Min.Y|size.X|size.Y)%2 != 0 {
			break // the library reads whole colour samples
		}
		planes := [3]*C.uchar{(*C.uchar)(&src.Y[0]), (*C.uchar)(&src.Cb[0]), (*C.uchar)(&src.Cr[0])}
		strides := [3]C.int{C.int(src.YStride), C.int(src.CStride), C.int(src.CStride)}
		return compressed(size, func(h C.tjhandle, to **C.uchar, n *C.ulong) C.int {
			return C.tjCompressFromYUVPlanes(h, &planes[0], C.int(size.X), &strides[0], C.int(size.Y), C.TJSAMP_420, to, n, q, flags)
		}, &src.Y[0], &src.Cb[0], &src.Cr[0])
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
