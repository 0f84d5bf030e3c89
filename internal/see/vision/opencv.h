// What vision asks of OpenCV, in C. Nothing here throws: an exception of
// OpenCV's comes back as its text, which the caller frees; NULL means success.
#pragma once
#include <stdint.h>

#ifdef __cplusplus
extern "C" {
#endif

// plane is a picture of bytes; its memory stays the caller's.
typedef struct {
	uint8_t *pix;
	int width, height, stride;
} plane;

// contours is a list of closed lines, freed by contours_free: those of line i are
// its counts[i] points, x and y in turn, after those of the lines before it.
typedef struct {
	int n;
	int *counts, *xy;
	double *areas;
} contours;

char *blur(plane src, plane dst, int side);
char *warp(plane src, plane dst, float *xs, float *ys);
char *outlines(plane mask, int open, int closing, contours *out);
void contours_free(contours *c);

#ifdef __cplusplus
}
#endif
