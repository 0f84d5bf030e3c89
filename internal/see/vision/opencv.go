package vision

/*
#cgo CXXFLAGS: -std=c++11 -O2 -I/usr/include/opencv4
#cgo LDFLAGS: -lopencv_imgproc -lopencv_core
#include <stdlib.h>
#include "opencv.h"
*/
import "C"

import (
	"errors"
	"fmt"
	"unsafe"
)

var errNoPlane = errors.New("picture plane is empty or cut short")

// plane is one plane of bytes of a picture, row by row.
type plane struct {
	pix          []byte
	w, h, stride int
}

// check refuses what OpenCV would read past the end of.
func (p plane) check() error {
	if p.w < 1 || p.h < 1 || p.stride < p.w || len(p.pix) < (p.h-1)*p.stride+p.w {
		return errNoPlane
	}
	return nil
}

func (p plane) c() C.plane {
	return C.plane{pix: (*C.uint8_t)(unsafe.SliceData(p.pix)), width: C.int(p.w), height: C.int(p.h), stride: C.int(p.stride)}
}

// failed turns the text of an exception, or none, into an error.
func failed(text *C.char) error {
	if text == nil {
		return nil
	}
	defer C.free(unsafe.Pointer(text))
	return fmt.Errorf("OpenCV: %s", C.GoString(text))
}

// blur writes each pixel's mean over a square around it; both planes are of one
// size.
func blur(src, dst plane, side int) error {
	if err := errors.Join(src.check(), dst.check()); err != nil {
		return err
	}
	return failed(C.blur(src.c(), dst.c(), C.int(side)))
}

// remap fills dst with what src shows at xs, ys, a place for each pixel.
func remap(src, dst plane, xs, ys []float32) error {
	if err := errors.Join(src.check(), dst.check()); err != nil {
		return err
	}
	if len(xs) != dst.w*dst.h || len(ys) != len(xs) {
		return errors.New("maps and picture disagree")
	}
	return failed(C.warp(src.c(), dst.c(), (*C.float)(unsafe.SliceData(xs)), (*C.float)(unsafe.SliceData(ys))))
}
