// Package heif decodes HEIC pictures of 8 bits: those in tiles, as phones write them,
// by libde265 tile by tile on all processors, the others by libheif. It is native code
// that a stranger's file reaches: callers keep it in a process with limits and a sandbox.
// Sizes are held against limits before, from the header.
package heif

// #cgo LDFLAGS: -ldl
// #include "libheif.h"
import "C"

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"image"
	"runtime"
	"strings"
	"sync"
	"unsafe"

	"netagauge/internal/core/phrase"
)

// ErrNoLibrary says that this system cannot decode HEIC.
var ErrNoLibrary = phrase.Wrong("photo-no-heic")

var load = sync.OnceValue(func() error {
	if why := C.load_heif(); why != nil {
		return fmt.Errorf("%w (%s)", ErrNoLibrary, C.GoString(why))
	}
	return nil
})

// Decode gives the picture upright, as the container turns it, with chroma halved
// both ways.
func Decode(data []byte) (*image.YCbCr, error) { return decode(data, gridOf) }

// decode decodes tile by tile what by finds to be a grid, and else as a whole.
func decode(data []byte, by func([]byte) *grid) (*image.YCbCr, error) {
	if err := load(); err != nil {
		return nil, err
	}
	if len(data) == 0 {
		return nil, errors.New("it is empty")
	}
	data = unassigned(data)
	var pin runtime.Pinner
	defer pin.Unpin()
	pin.Pin(&data[0]) // libheif keeps a pointer into it
	var p C.heif_picture
	defer C.free_heif(&p)
	C.open_heif(unsafe.Pointer(&data[0]), C.size_t(len(data)), C.int(runtime.NumCPU()), &p)
	if g := by(data); g != nil && p.wrong[0] == 0 && g.fits(int(p.width), int(p.height)) {
		if img, err := g.decode(); err != errNotPlain {
			return img, err
		}
	}
	C.decode_heif(&p)
	if p.wrong[0] != 0 {
		first, _, _ := strings.Cut(C.GoString(&p.wrong[0]), "\n")
		return nil, errors.New(first)
	}
	out := image.NewYCbCr(image.Rect(0, 0, int(p.width), int(p.height)), image.YCbCrSubsampleRatio420)
	rows(out.Y, out.YStride, out.Rect.Dx(), p.y, p.y_stride)
	rows(out.Cb, out.CStride, out.CStride, p.cb, p.cb_stride)
	rows(out.Cr, out.CStride, out.CStride, p.cr, p.cr_stride)
	return out, nil
}

// unassigned is a copy whose texts about pictures belong to none. Debian 12's
// libheif 1.15 refuses a file with a text about a picture of a kind that it does
// not know, as current phones write; here the pixels alone count. The references
// are entries "cdsc" of the box "iref" (ISO/IEC 14496-12, 8.11.12).
func unassigned(data []byte) []byte {
	out := bytes.Clone(data)
	at := bytes.Index(out, []byte("iref"))
	if at < 4 {
		return out
	}
	size := int64(binary.BigEndian.Uint32(out[at-4:]))
	box := out[at:min(int64(len(out)), max(int64(at), int64(at)-4+size))]
	for i := bytes.Index(box, []byte("cdsc")); i >= 0; i = bytes.Index(box, []byte("cdsc")) {
		copy(box[i:], "free")
	}
	return out
}

// rows copies a plane whose rows lie further apart in memory.
func rows(to []byte, stride, width int, from *C.uint8_t, fromStride C.int) {
	for y := 0; (y+1)*stride <= len(to); y++ {
		row := unsafe.Slice((*byte)(unsafe.Add(unsafe.Pointer(from), y*int(fromStride))), width)
		copy(to[y*stride:], row)
	}
}
