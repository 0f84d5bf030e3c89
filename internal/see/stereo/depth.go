package stereo

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// fill marks the cells whose centres lie inside a polygon given in cells, by
// the even-odd rule, row by row.
func fill(poly []r2.Vec, nx, ny int) []bool {
	in := make([]bool, nx*ny)
	var cuts []float64
	for y := range ny {
		cuts = cuts[:0]
		fy := float64(y) + 1e-7 // never through a corner
		for i, p := range poly {
			q := poly[(i+1)%len(poly)]
			if (p.Y > fy) != (q.Y > fy) {
				cuts = append(cuts, p.X+(fy-p.Y)/(q.Y-p.Y)*(q.X-p.X))
			}
		}
		slices.Sort(cuts)
		for k := 0; k+1 < len(cuts); k += 2 {
			for x := max(0, int(math.Ceil(cuts[k]))); x < nx && float64(x) <= cuts[k+1]; x++ {
				in[y*nx+x] = true
			}
		}
	}
	return in
}

// depths is the distance of every cell that is in to the nearest one that is
// not, in cells (Felzenszwalb and Huttenlocher 2012); beyond the raster nothing
// is in.
func depths(in []bool, nx, ny int) []float32 {
	const far = 1e12
	sq := make([]float64, nx*ny)
	for i, inside := range in {
		if inside {
			sq[i] = far
		}
	}
	col, row := make([]float64, ny), make([]float64, nx)
	for x := range nx {
		for y := range ny {
			col[y] = sq[y*nx+x]
		}
		for y, v := range nearest(col) {
			sq[y*nx+x] = v
		}
	}
	out := make([]float32, nx*ny)
	for y := range ny {
		copy(row, sq[y*nx:])
		for x, v := range nearest(row) {
			out[y*nx+x] = float32(math.Sqrt(v))
		}
	}
	return out
}

// nearest is the lower envelope of the parabolas f[q] + (x-q)², with a zero just
// beyond either end.
func nearest(f []float64) []float64 {
	n := len(f) + 2
	at := func(i int) float64 {
		if i == 0 || i == n-1 {
			return 0
		}
		return f[i-1]
	}
	v, z := make([]int, 1, n), make([]float64, 1, n+1)
	z[0] = math.Inf(-1)
	for q := 1; q < n; q++ {
		for {
			p := v[len(v)-1]
			s := (at(q) + float64(q*q) - at(p) - float64(p*p)) / float64(2*(q-p))
			if s > z[len(v)-1] {
				v, z = append(v, q), append(z, s)
				break
			}
			v, z = v[:len(v)-1], z[:len(v)-1]
		}
	}
	out := make([]float64, len(f))
	k := 0
	for x := range f {
		for k+1 < len(v) && z[k+1] < float64(x+1) {
			k++
		}
		d := float64(x + 1 - v[k])
		out[x] = d*d + at(v[k])
	}
	return out
}
