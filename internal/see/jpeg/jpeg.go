// Package jpeg reads and writes JPEG files with libjpeg-turbo, through its TurboJPEG
// interface, which reports errors and never ends the process. The planes of
// brightness and colour come as they are stored: no conversion, no upsampling.
package jpeg

/*
#cgo LDFLAGS: -lturbojpeg
#include <turbojpeg.h>
*/
import "C"

import (
	"errors"
	"fmt"
	"image"
	"os"
	"runtime"
	"syscall"
	"unsafe"
)

var errNoDecoder = errors.New("libjpeg-turbo gave no decoder")

// ratios are the kinds of colour subsampling that both sides know.
var ratios = map[C.int]image.YCbCrSubsampleRatio{
	C.TJSAMP_444: image.YCbCrSubsampleRatio444,
	C.TJSAMP_422: image.YCbCrSubsampleRatio422,
	C.TJSAMP_420: image.YCbCrSubsampleRatio420,
	C.TJSAMP_440: image.YCbCrSubsampleRatio440,
	C.TJSAMP_411: image.YCbCrSubsampleRatio411,
}

// step is how many pixels one colour sample spans at most, either way.
const step = 4

// Decode decodes a JPEG file in colour whose header tells this size; the caller
// has held it against its limits. It gives up at the first flaw, also at one that
// the library would only warn of, and on unusual kinds (gray, RGB, CMYK): another
// decoder may do better.
func Decode(data []byte, width, height int) (*image.YCbCr, error) {
	h := C.tjInitDecompress()
	if h == nil {
		return nil, errNoDecoder
	}
	defer C.tjDestroy(h)
	src, n := (*C.uchar)(unsafe.SliceData(data)), C.ulong(len(data))
	var w, ht, sampling, space C.int
	if C.tjDecompressHeader3(h, src, n, &w, &ht, &sampling, &space) != 0 {
		return nil, failure(h)
	}
	ratio, known := ratios[sampling]
	switch {
	case int(w) != width || int(ht) != height:
		return nil, fmt.Errorf("the size is %d × %d, not %d × %d", w, ht, width, height)
	case !known || space != C.TJCS_YCbCr:
		return nil, errors.New("not the usual kind of colour")
	}
	// The library writes whole colour samples, past an odd edge too.
	out := image.NewYCbCr(image.Rect(0, 0, (width+step-1)/step*step, (height+step-1)/step*step), ratio)
	out.Rect = image.Rect(0, 0, width, height)
	largePages(unsafe.Slice(&out.Y[0], len(out.Y)+len(out.Cb)+len(out.Cr))) // they lie in one piece
	planes := [3]*C.uchar{(*C.uchar)(&out.Y[0]), (*C.uchar)(&out.Cb[0]), (*C.uchar)(&out.Cr[0])}
	strides := [3]C.int{C.int(out.YStride), C.int(out.CStride), C.int(out.CStride)}
	var pin runtime.Pinner
	defer pin.Unpin()
	for _, p := range planes {
		pin.Pin(p)
	}
	if C.tjDecompressToYUVPlanes(h, src, n, &planes[0], w, &strides[0], ht, C.TJFLAG_ACCURATEDCT|C.TJFLAG_STOPONWARNING) != 0 {
		return nil, failure(h)
	}
	return out, nil
}

// largePages asks for memory in pages of 2 MB, which takes the system half the time
// to give; where it does not, nothing is lost.
func largePages(b []byte) {
	page := os.Getpagesize()
	from := (page - int(uintptr(unsafe.Pointer(&b[0]))%uintptr(page))) % page
	if from < len(b) {
		syscall.Madvise(b[from:], syscall.MADV_HUGEPAGE)
	}
}

func failure(h C.tjhandle) error { return errors.New(C.GoString(C.tjGetErrorStr2(h))) }
