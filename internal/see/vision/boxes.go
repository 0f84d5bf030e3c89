package vision

/*
#include <stdint.h>
#include <string.h>

// add_up gives for each cell the sum of all above and to the left of it, its own too,
// with so many cells of nothing before them and copies of the last sums behind. Sums may
// run over: differences of them are right all the same.
static void add_up(const int32_t *cells, uint32_t *sums, int nx, int ny, int reach) {
	int w = nx + 2 * reach + 1;
	uint32_t *row = sums + (reach + 1) * w;
	for (int y = 0; y < ny; y++, cells += nx, row += w) {
		uint32_t sum = 0, *to = row + reach + 1;
		for (int x = 0; x < nx; x++)
			to[x] = sum += cells[x];
		for (int x = 0; x < nx; x++)
			to[x] += to[x - w];
		for (int x = 0; x < reach; x++)
			to[nx + x] = to[nx - 1];
	}
	for (int y = 0; y < reach; y++, row += w)
		memcpy(row, row - w, w * sizeof *row);
}

// box sums over the (2r+1)² cells around each cell of row y.
static void box(const uint32_t *sums, int nx, int reach, int y, int r, int32_t *out) {
	int w = nx + 2 * reach + 1, d = 2 * r + 1;
	const uint32_t *up = sums + (y + reach - r) * w + reach - r, *down = up + d * w;
	for (int x = 0; x < nx; x++)
		out[x] = down[x + d] - down[x] - up[x + d] + up[x];
}

static void boxes(const uint32_t *sums, int nx, int ny, int reach, int r, int32_t *out) {
	for (int y = 0; y < ny; y++)
		box(sums, nx, reach, y, r, out + y * nx);
}

// between writes the sums of small boxes, each times its share, less those of large
// ones, within a limit. fine and coarse are room for a row.
static void between(const uint32_t *sums, int nx, int ny, int reach, int small, int large, const float *per_small, const float *per_large,
		int32_t *fine, int32_t *coarse, float limit, float *out) {
	for (int y = 0; y < ny; y++, per_small += nx, per_large += nx, out += nx) {
		box(sums, nx, reach, y, small, fine);
		box(sums, nx, reach, y, large, coarse);
		for (int x = 0; x < nx; x++) {
			float d = fine[x] * per_small[x] - coarse[x] * per_large[x];
			d = d > limit ? limit : d;
			out[x] = d < -limit ? -limit : d;
		}
	}
}
*/
import "C"

// Boxes sums whole numbers over squares of cells about each cell of a raster, row by
// row; beyond the raster there is nothing. What is summed over one square must fit in
// 32 bits. It keeps its working memory.
type Boxes struct {
	nx, ny, reach C.int
	sums          []C.uint32_t
	fine, coarse  []C.int32_t
}

// NewBoxes is for rasters of nx × ny cells, neither 0, and squares that reach so many
// cells to either side.
func NewBoxes(nx, ny, reach int) *Boxes {
	return &Boxes{C.int(nx), C.int(ny), C.int(reach), make([]C.uint32_t, (nx+2*reach+1)*(ny+2*reach+1)), make([]C.int32_t, nx), make([]C.int32_t, nx)}
}

// Take takes the numbers that are summed from now on.
func (b *Boxes) Take(cells []int32) {
	C.add_up((*C.int32_t)(&cells[:b.nx*b.ny][0]), &b.sums[0], b.nx, b.ny, b.reach)
}

// Sum writes the sums over squares that reach r cells to either side, no more than
// Boxes was made for.
func (b *Boxes) Sum(r int, out []int32) {
	C.boxes(&b.sums[0], b.nx, b.ny, b.reach, b.held(r), (*C.int32_t)(&out[:b.nx*b.ny][0]))
}

// Between writes the sums over small squares, each times its share, less those over
// large ones, bounded by a limit either way.
func (b *Boxes) Between(small, large int, perSmall, perLarge []float32, limit float32, out []float32) {
	n := b.nx * b.ny
	at := func(v []float32) *C.float { return (*C.float)(&v[:n][0]) }
	C.between(&b.sums[0], b.nx, b.ny, b.reach, b.held(small), b.held(large), at(perSmall), at(perLarge), &b.fine[0], &b.coarse[0], C.float(limit), at(out))
}

func (b *Boxes) held(r int) C.int { return min(C.int(r), b.reach) }
