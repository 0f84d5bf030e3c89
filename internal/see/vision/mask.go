package vision

/*
#include "opencv.h"
*/
import "C"

import (
	"errors"
	"image"
	"unsafe"
)

var errNoMask = errors.New("mask is empty")

// Contour is the outer border of one patch of a mask: the centres of its
// border pixels in order.
type Contour struct {
	Points []image.Point
	Area   float64 // of the patch, holes filled, px²
}

// Contours returns the outer border of every patch of set pixels (Suzuki and
// Abe 1985) after clearing specks: an opening, then a closing, with discs of
// the given radii in pixels.
func Contours(mask *image.Gray, open, closing int) ([]Contour, error) {
	m := plane{mask.Pix, mask.Rect.Dx(), mask.Rect.Dy(), mask.Stride}
	if m.w < 3 || m.h < 3 || m.check() != nil {
		return nil, errNoMask
	}
	var found C.contours
	defer C.contours_free(&found)
	if err := failed(C.outlines(m.c(), C.int(open), C.int(closing), &found)); err != nil {
		return nil, err
	}
	counts := unsafe.Slice(found.counts, found.n)
	areas := unsafe.Slice(found.areas, found.n)
	at := unsafe.Pointer(found.xy)
	out := make([]Contour, 0, len(counts))
	for i, n := range counts {
		xy := unsafe.Slice((*C.int)(at), 2*n)
		at = unsafe.Add(at, uintptr(2*n)*unsafe.Sizeof(*found.xy))
		if n < 3 {
			continue
		}
		points := make([]image.Point, n)
		for k := range points {
			points[k] = image.Pt(int(xy[2*k]), int(xy[2*k+1]))
		}
		out = append(out, Contour{points, float64(areas[i])})
	}
	return out, nil
}
