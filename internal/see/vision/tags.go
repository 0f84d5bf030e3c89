// Package vision is the only place that touches native code: OpenCV through
// gocv and the AprilTag C library. It offers a few coarse functions with Go
// types in and out, owns every native resource it makes, closes each on every
// path and checks its arguments before the call, because an OpenCV exception
// would end the process. It works in pixels (x right, y down, pixel centres at
// whole numbers) and knows nothing of millimetres or fish.
package vision

/*
#cgo pkg-config: apriltag
#include <stdlib.h>
#include <apriltag/apriltag.h>
#include <apriltag/tag36h11.h>

static apriltag_detection_t *detection_at(zarray_t *a, int i) {
	apriltag_detection_t *d;
	zarray_get(a, i, &d);
	return d;
}
*/
import "C"

import (
	"errors"
	"fmt"
	"image"
	"runtime"
	"unsafe"

	"gonum.org/v1/gonum/spatial/r2"
)

// Tag is one decoded tag36h11 tag. Corners are those of the black square in
// pixels, in the order top-left, top-right, bottom-right, bottom-left of the
// upright tag. Hamming counts corrected bits; Margin is the library's decision
// margin (larger is surer).
type Tag struct {
	ID      int
	Hamming int
	Margin  float64
	Corners [4]r2.Vec
}

// Faint is the contrast that the AprilTag library asks of a tag, in code values.
const Faint = 5

// DetectTags finds tag36h11 tags in a gray picture with the AprilTag C
// library. decimate shrinks the picture for the search (1 searches at full
// size); where light and dark differ by less than contrast, in code values, nothing
// is looked for. Tags that needed more than one corrected bit are left out: on a field
// of fish they are more likely noise than tags.
func DetectTags(g *image.Gray, decimate float64, contrast int) ([]Tag, error) {
	w, h := g.Rect.Dx(), g.Rect.Dy()
	if w < 16 || h < 16 {
		return nil, fmt.Errorf("picture of %d × %d px is too small to hold a tag", w, h)
	}
	if decimate < 1 {
		return nil, fmt.Errorf("decimate %g is below 1", decimate)
	}
	im := C.image_u8_t{
		width: C.int32_t(w), height: C.int32_t(h), stride: C.int32_t(g.Stride),
		buf: (*C.uint8_t)(unsafe.Pointer(&g.Pix[g.PixOffset(g.Rect.Min.X, g.Rect.Min.Y)])),
	}
	var pin runtime.Pinner
	defer pin.Unpin()
	pin.Pin(&g.Pix[0])

	family := C.tag36h11_create()
	if family == nil {
		return nil, errors.New("the AprilTag library gave no tag36h11 family")
	}
	defer C.tag36h11_destroy(family)
	detector := C.apriltag_detector_create()
	if detector == nil {
		return nil, errors.New("the AprilTag library gave no detector")
	}
	defer C.apriltag_detector_destroy(detector)
	C.apriltag_detector_add_family_bits(detector, family, 1)
	detector.quad_decimate = C.float(decimate)
	detector.refine_edges = C.bool(true)
	detector.qtp.min_white_black_diff = C.int(contrast)
	// One thread: the library's pool of workers adds tasks to a list that a worker
	// which starts late may already read, and then jumps anywhere.
	detector.nthreads = 1

	found := C.apriltag_detector_detect(detector, &im)
	if found == nil {
		return nil, errors.New("the AprilTag library returned no list")
	}
	defer C.apriltag_detections_destroy(found)
	var tags []Tag
	for i := range int(C.zarray_size(found)) {
		if t := tagOf(C.detection_at(found, C.int(i))); t.Hamming <= 1 {
			tags = append(tags, t)
		}
	}
	return tags, nil
}

// tagOf copies a detection. The library lists corners from the bottom-left,
// counter-clockwise, with pixel centres at +0.5.
func tagOf(d *C.apriltag_detection_t) Tag {
	t := Tag{ID: int(d.id), Hamming: int(d.hamming), Margin: float64(d.decision_margin)}
	for k := range 4 {
		t.Corners[3-k] = r2.Vec{X: float64(d.p[k][0]) - 0.5, Y: float64(d.p[k][1]) - 0.5}
	}
	return t
}
