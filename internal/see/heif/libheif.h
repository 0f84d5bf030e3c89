// What of libheif's C interface is used, as its public header heif.h has it since
// version 1.3 (the interface is kept stable); the library is loaded when the first
// HEIC comes, so that other photos do not pay for it.
#include <stddef.h>
#include <stdint.h>

// A picture's planes, which belong to it. free_heif gives all back.
typedef struct {
	void *context, *handle, *image;
	int width, height, bits;
	const uint8_t *y, *cb, *cr;
	int y_stride, cb_stride, cr_stride;
	char wrong[200]; // empty when all went well
} heif_picture;

// load_heif returns NULL, or why the library cannot be used.
const char *load_heif(void);
// open_heif reads the file, decode_heif then decodes its main picture.
void open_heif(const void *data, size_t size, int threads, heif_picture *out);
void decode_heif(heif_picture *out);
void free_heif(heif_picture *p);
