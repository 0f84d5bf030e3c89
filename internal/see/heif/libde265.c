#include "libde265.h"
#include <dlfcn.h>

enum { chroma_420 = 1, first_warning = 1000 };

static void *(*new_decoder)(void);
static int (*free_decoder)(void *);
static int (*push_nal)(void *, const void *, int, int64_t, void *);
static int (*flush_data)(void *);
static int (*decode_some)(void *, int *);
static const void *(*next_picture)(void *);
static const char *(*error_text)(int);
static int (*chroma_format)(const void *), (*full_range)(const void *), (*matrix)(const void *);
static int (*image_width)(const void *, int), (*image_height)(const void *, int), (*bits)(const void *, int);
static const uint8_t *(*plane)(const void *, int, int *);

const char *load_de265(void) {
	void *lib = dlopen("libde265.so.0", RTLD_NOW | RTLD_LOCAL);
	if (!lib) return dlerror();
	const struct { const char *name; void **to; } wanted[] = {
		{"de265_new_decoder", (void **)&new_decoder}, {"de265_free_decoder", (void **)&free_decoder},
		{"de265_push_NAL", (void **)&push_nal}, {"de265_flush_data", (void **)&flush_data},
		{"de265_decode", (void **)&decode_some}, {"de265_get_next_picture", (void **)&next_picture},
		{"de265_get_error_text", (void **)&error_text}, {"de265_get_chroma_format", (void **)&chroma_format},
		{"de265_get_image_full_range_flag", (void **)&full_range}, {"de265_get_image_matrix_coefficients", (void **)&matrix},
		{"de265_get_image_width", (void **)&image_width}, {"de265_get_image_height", (void **)&image_height},
		{"de265_get_bits_per_pixel", (void **)&bits}, {"de265_get_image_plane", (void **)&plane},
	};
	for (size_t i = 0; i < sizeof wanted / sizeof *wanted; i++)
		if (!(*wanted[i].to = dlsym(lib, wanted[i].name))) return dlerror();
	return NULL;
}

static int failed(int code, heif_tile *t) {
	if (code && code < first_warning) t->wrong = error_text(code);
	return t->wrong != NULL;
}

void decode_tile(const uint8_t *stream, size_t size, heif_tile *t) {
	if (!(t->decoder = new_decoder())) {
		t->wrong = "there is no memory for a decoder";
		return;
	}
	while (size >= 4) {
		size_t n = (size_t)stream[0] << 24 | (size_t)stream[1] << 16 | (size_t)stream[2] << 8 | stream[3];
		if (n > size - 4 || n > INT32_MAX) break;
		if (failed(push_nal(t->decoder, stream + 4, (int)n, 0, NULL), t)) return;
		stream += 4 + n, size -= 4 + n;
	}
	if (failed(flush_data(t->decoder), t)) return;
	const void *image = NULL;
	for (int more = 1; more && !image;) {
		more = 0;
		if (failed(decode_some(t->decoder, &more), t)) return;
		image = next_picture(t->decoder);
	}
	if (!image || chroma_format(image) != chroma_420) {
		t->wrong = "a tile has no picture that is read here";
		return;
	}
	t->width = image_width(image, 0), t->height = image_height(image, 0);
	t->full_range = full_range(image), t->matrix = matrix(image);
	for (int i = 0; i < 3; i++) {
		int by = i ? 2 : 1;
		t->planes[i] = plane(image, i, &t->strides[i]);
		if (!t->planes[i] || bits(image, i) != 8 || image_width(image, i) != (t->width + by - 1) / by || image_height(image, i) != (t->height + by - 1) / by)
			t->wrong = "a tile's planes do not fit each other";
	}
}

void free_tile(heif_tile *t) {
	if (t->decoder) free_decoder(t->decoder);
}
