// What of libde265's C interface is used, as its public header de265.h has it since
// version 1.0 (the interface is kept stable). libheif decodes by the same library.
#include <stddef.h>
#include <stdint.h>

// A decoded tile, whose planes belong to the decoder. free_tile gives all back.
typedef struct {
	void *decoder;
	int width, height;
	const uint8_t *planes[3];
	int strides[3];
	int full_range, matrix; // as the stream says
	const char *wrong;      // NULL when all went well
} heif_tile;

// load_de265 returns NULL, or why the library cannot be used.
const char *load_de265(void);
// decode_tile decodes a stream of NAL units, each behind its length in 4 bytes, into
// one picture of 8 bits with chroma halved both ways. It may be called by several
// threads.
void decode_tile(const uint8_t *stream, size_t size, heif_tile *out);
void free_tile(heif_tile *out);
