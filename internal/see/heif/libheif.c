#include "libheif.h"
#include <dlfcn.h>
#include <stdio.h>

typedef struct { int code, subcode; const char *message; } heif_error;
enum { colorspace_ycbcr = 0, chroma_420 = 1, channel_y = 0, channel_cb = 1, channel_cr = 2, hevc = 1 };

static void *(*context_alloc)(void);
static void (*context_free)(void *);
static heif_error (*read_memory)(void *, const void *, size_t, const void *);
static heif_error (*primary)(void *, void **);
static int (*handle_width)(const void *), (*handle_height)(const void *), (*handle_bits)(const void *);
static void (*handle_release)(const void *), (*image_release)(const void *);
static heif_error (*decode_image)(const void *, void **, int, int, const void *);
static const uint8_t *(*plane)(const void *, int, int *);
static int (*plane_width)(const void *, int), (*plane_height)(const void *, int);
static void (*set_threads)(void *, int);
static heif_error (*init)(void *);
static int (*have_decoder)(int);

const char *load_heif(void) {
	void *lib = dlopen("libheif.so.1", RTLD_NOW | RTLD_LOCAL);
	if (!lib) return dlerror();
	const struct named { const char *name; void **to; } wanted[] = {
		{"heif_context_alloc", (void **)&context_alloc}, {"heif_context_free", (void **)&context_free},
		{"heif_context_read_from_memory_without_copy", (void **)&read_memory},
		{"heif_context_get_primary_image_handle", (void **)&primary},
		{"heif_image_handle_get_width", (void **)&handle_width}, {"heif_image_handle_get_height", (void **)&handle_height},
		{"heif_image_handle_get_luma_bits_per_pixel", (void **)&handle_bits},
		{"heif_image_handle_release", (void **)&handle_release}, {"heif_image_release", (void **)&image_release},
		{"heif_decode_image", (void **)&decode_image}, {"heif_image_get_plane_readonly", (void **)&plane},
		{"heif_image_get_width", (void **)&plane_width}, {"heif_image_get_height", (void **)&plane_height},
	}, of_later_versions[] = {
		{"heif_context_set_max_decoding_threads", (void **)&set_threads},
		{"heif_init", (void **)&init}, {"heif_have_decoder_for_format", (void **)&have_decoder},
	};
	for (size_t i = 0; i < sizeof wanted / sizeof *wanted; i++)
		if (!(*wanted[i].to = dlsym(lib, wanted[i].name))) return dlerror();
	for (size_t i = 0; i < sizeof of_later_versions / sizeof *of_later_versions; i++)
		*of_later_versions[i].to = dlsym(lib, of_later_versions[i].name);
	if (init) init(NULL); // which looks for decoders that are files of their own
	if (have_decoder && !have_decoder(hevc)) return "libheif has no decoder for HEVC";
	return NULL;
}

static int failed(heif_error e, heif_picture *p) {
	if (e.code) snprintf(p->wrong, sizeof p->wrong, "%s", e.message ? e.message : "it cannot be decoded");
	return e.code;
}

void open_heif(const void *data, size_t size, int threads, heif_picture *p) {
	p->context = context_alloc();
	if (set_threads) set_threads(p->context, threads);
	if (failed(read_memory(p->context, data, size, NULL), p) || failed(primary(p->context, &p->handle), p)) return;
	p->width = handle_width(p->handle), p->height = handle_height(p->handle), p->bits = handle_bits(p->handle);
}

void decode_heif(heif_picture *p) {
	if (p->wrong[0]) return;
	if (p->bits != 8) {
		snprintf(p->wrong, sizeof p->wrong, "it has %d bits a colour", p->bits);
		return;
	}
	if (failed(decode_image(p->handle, &p->image, colorspace_ycbcr, chroma_420, NULL), p)) return;
	p->y = plane(p->image, channel_y, &p->y_stride);
	p->cb = plane(p->image, channel_cb, &p->cb_stride);
	p->cr = plane(p->image, channel_cr, &p->cr_stride);
	// A tile that is not what the container says would be read past its end.
	if (!p->y || !p->cb || !p->cr || plane_width(p->image, channel_y) != p->width || plane_height(p->image, channel_y) != p->height ||
		plane_width(p->image, channel_cb) != (p->width + 1) / 2 || plane_height(p->image, channel_cb) != (p->height + 1) / 2 ||
		plane_width(p->image, channel_cr) != (p->width + 1) / 2 || plane_height(p->image, channel_cr) != (p->height + 1) / 2)
		snprintf(p->wrong, sizeof p->wrong, "its planes are not of one size");
}

void free_heif(heif_picture *p) {
	if (p->image) image_release(p->image);
	if (p->handle) handle_release(p->handle);
	if (p->context) context_free(p->context);
}
