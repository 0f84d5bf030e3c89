package vision

/*
#include <stdint.h>

enum { bands = 3, sums = 4 * bands };

typedef struct { int64_t from; double shares[4]; } mixture;

// mix adds four rows from each place on, each times its share.
static void mix(const double *rows, const mixture *m, int n, double *sum) {
	double s[sums];
	for (int k = 0; k < sums; k++)
		s[k] = sum[k];
	for (; n > 0; n--, m++)
		for (int j = 0; j < 4; j++)
			for (int k = 0; k < sums; k++)
				s[k] += m->shares[j] * rows[(m->from + j) * sums + k];
	for (int k = 0; k < sums; k++)
		sum[k] = s[k];
}
*/
import "C"

import "unsafe"

// Products sums, over N cells, the products of two textures: of one with the other, and
// of each with itself.
type Products struct{ AB, AA, BB, N float64 }

// Banded are the products of textures that are parted into bands, from fine to coarse.
type Banded [C.bands]Products

// Add adds others.
func (b *Banded) Add(c *Banded) {
	for k, p := range c {
		b[k].AB, b[k].AA, b[k].BB, b[k].N = b[k].AB+p.AB, b[k].AA+p.AA, b[k].BB+p.BB, b[k].N+p.N
	}
}

// Mixture names four rows of a table of products, from a place on, and the share of each.
type Mixture struct {
	From   int64
	Shares [4]float64
}

// Mix adds mixtures of a table's rows to products.
func Mix(sum Banded, rows []Banded, mixtures []Mixture) Banded {
	for _, m := range mixtures {
		_ = rows[m.From : m.From+4]
	}
	if len(mixtures) > 0 {
		C.mix((*C.double)(&rows[0][0].AB), (*C.mixture)(unsafe.Pointer(&mixtures[0])), C.int(len(mixtures)), (*C.double)(&sum[0].AB))
	}
	return sum
}
