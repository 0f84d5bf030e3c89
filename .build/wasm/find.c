// What the page calls of the AprilTag C library: a picture goes in, ids and corners
// come out. The detector is set as internal/see/vision sets it, but for one thread.
#include <stdlib.h>

#include "apriltag.h"
#include "tag36h11.h"

#define API(name) __attribute__((export_name(#name)))

enum { most = 128, numbers = 9 };

static apriltag_detector_t *detector;
static uint8_t *pixels;
static int wide, high;
static float found[most * numbers];

// room gives the place for a picture of width by height gray pixels, a row after the
// other, or 0 where there is none.
API(room) uint8_t *room(int width, int height) {
	free(pixels);
	wide = width, high = height;
	return pixels = malloc((size_t)width * height);
}

// find looks for tags of the family tag36h11 in the picture, searching for their
// edges in one decimate times smaller, and gives how many it found.
API(find) int find(float decimate) {
	if (detector == NULL) {
		detector = apriltag_detector_create();
		apriltag_detector_add_family_bits(detector, tag36h11_create(), 1);
		detector->nthreads = 1;
	}
	detector->quad_decimate = decimate;
	image_u8_t picture = {.width = wide, .height = high, .stride = wide, .buf = pixels};
	zarray_t *all = apriltag_detector_detect(detector, &picture);
	int n = 0;
	for (int i = 0; i < zarray_size(all) && n < most; i++) {
		apriltag_detection_t *d;
		zarray_get(all, i, &d);
		if (d->hamming > 1) {
			continue;
		}
		float *out = found + numbers * n++;
		out[0] = d->id;
		for (int k = 0; k < 4; k++) { // from bottom-left counter-clockwise to top-left clockwise
			out[1 + 2 * (3 - k)] = d->p[k][0] - 0.5;
			out[2 + 2 * (3 - k)] = d->p[k][1] - 0.5;
		}
	}
	apriltag_detections_destroy(all);
	return n;
}

// list is what find found: for each tag its id, then the corners of its black square
// in pixels, x and y, from the top-left one clockwise, pixel centres at whole numbers.
API(list) float *list(void) { return found; }
