package stereo

import (
	"math"

	"netagauge/internal/core/rank"
	"netagauge/internal/core/uncertainty"

	"gonum.org/v1/gonum/spatial/r2"
)

// What of the picture is compared.
const (
	finePitch  = 0.25 // mm
	leastDepth = 1.0  // mm from the edge: nearer lie its rounding and the mat's colour
	clipAt     = 2.5  // standard deviations: a mirrored lamp counts no more than strong texture
	stride     = 8    // cells between exact projections; in between they are in line
	bands      = 3
)

// boxes are the half widths, in cells, of the means whose differences are the
// bands: texture of about 0.5, 1 and 2 mm. What is coarser is shading, which
// moves with neither photo nor fish.
var boxes = [bands + 1]int{1, 3, 6, 13}

// sigmaMM is the standard deviation of a band's finer mean: it sets how many
// cells count as one observation.
var sigmaMM = [bands]float64{0.2, 0.5, 0.94}

// filter parts what is sampled on a patch into bands. It keeps its working
// memory, and how many cells count around each, from one picture to the next.
type filter struct {
	patch patch
	mask  []bool
	share [bands + 1][]float32 // one over the number of cells that count
	raw   []float32
	rows  []float32
	sum   []float32
	level [bands + 1][]float32
}

func newFilter(g patch) *filter {
	n := g.nx * g.ny
	f := &filter{patch: g, mask: make([]bool, n), raw: make([]float32, n), rows: make([]float32, n), sum: make([]float32, g.nx)}
	for k := range f.share {
		f.share[k], f.level[k] = make([]float32, n), make([]float32, n)
	}
	return f
}

func newTexture(g patch) (t [bands][]float32) {
	for k := range t {
		t[k] = make([]float32, g.nx*g.ny)
	}
	return t
}

// count takes the mask as it is now.
func (f *filter) count() {
	for i, in := range f.mask {
		f.raw[i] = 0
		if in {
			f.raw[i] = 1
		}
	}
	for k, share := range f.share {
		f.boxSum(f.raw, share, boxes[k])
		for i, n := range share {
			if share[i] = 0; f.mask[i] {
				share[i] = 1 / n
			}
		}
	}
}

// texture samples a photo on a patch of the same cells as if every cell lay at height mm above
// the mat, within the mask, and parts it into bands, written to out. Cells off
// the photo make it false.
func (f *filter) texture(v View, g patch, height float64, out *[bands][]float32) bool {
	clear(f.raw)
	whole := true
	for y := range g.ny {
		whole = v.row(g, y, height, f.mask[y*g.nx:(y+1)*g.nx], f.raw[y*g.nx:(y+1)*g.nx]) && whole
	}
	for k, r := range boxes {
		f.boxSum(f.raw, f.level[k], r)
		for i, s := range f.share[k] {
			f.level[k][i] *= s
		}
	}
	for k := range out {
		between(f.level[k], f.level[k+1], out[k])
	}
	return whole
}

// row samples one row of the patch; false when a cell lies off the photo.
func (v View) row(g patch, y int, height float64, mask []bool, out []float32) bool {
	whole := true
	a := v.Camera.Project(g.at(0, float64(y)), height)
	for x := 0; x < g.nx; x += stride {
		b := v.Camera.Project(g.at(float64(x+stride), float64(y)), height)
		step := r2.Scale(1.0/stride, r2.Sub(b, a))
		n := min(stride, g.nx-x)
		whole = v.strip(a, step, mask[x:x+n], out[x:x+n]) && whole
		a = b
	}
	return whole
}

// strip samples cells in line from a place on, in steps; false when one lies off the
// photo.
func (v View) strip(a, step r2.Vec, mask []bool, out []float32) bool {
	w, h := v.Luma.Rect.Dx()-1, v.Luma.Rect.Dy()-1
	pix, stride := v.Luma.Pix, v.Luma.Stride
	whole := true
	out = out[:len(mask)]
	for k, in := range mask {
		if !in {
			continue
		}
		x, y := a.X+float64(k)*step.X, a.Y+float64(k)*step.Y
		ix, iy := int(x), int(y)
		if ix < 0 || iy < 0 || ix >= w || iy >= h {
			out[k], whole = 0, false
			continue
		}
		fx, fy := float32(x-float64(ix)), float32(y-float64(iy))
		p := pix[iy*stride+ix:][:stride+2]
		top := float32(p[0])*(1-fx) + float32(p[1])*fx
		bottom := float32(p[stride])*(1-fx) + float32(p[stride+1])*fx
		out[k] = top*(1-fy) + bottom*fy
	}
	return whole
}

// boxSum sums over the (2r+1)² cells around each cell.
func (f *filter) boxSum(in, out []float32, r int) {
	nx, ny := f.patch.nx, f.patch.ny
	for y := range ny {
		slide(in[y*nx:(y+1)*nx], f.rows[y*nx:(y+1)*nx], r)
	}
	row := func(y int) []float32 { return f.rows[y*nx:][:len(f.sum)] }
	clear(f.sum)
	for y := range min(r, ny) {
		for x, v := range row(y) {
			f.sum[x] += v
		}
	}
	for y := range ny {
		to := out[y*nx:][:len(f.sum)]
		first, last := y-r-1, y+r
		switch {
		case first >= 0 && last < ny:
			gone, come := row(first), row(last)
			for x, v := range f.sum {
				v = v + come[x] - gone[x]
				f.sum[x], to[x] = v, v
			}
			continue
		case last < ny:
			for x, v := range row(last) {
				f.sum[x] += v
			}
		case first >= 0:
			for x, v := range row(first) {
				f.sum[x] -= v
			}
		}
		copy(to, f.sum)
	}
}

// slide sums over 2r+1 values in a row.
func slide(in, out []float32, r int) {
	var sum float32
	n := len(in)
	for i := range min(r, n) {
		sum += in[i]
	}
	i := 0
	for ; i < min(r+1, n); i++ {
		if i+r < n {
			sum += in[i+r]
		}
		out[i] = sum
	}
	if i+r < n {
		come, gone, to := in[i+r:], in[i-r-1:], out[i:]
		gone, to = gone[:len(come)], to[:len(come)]
		for k, v := range come {
			sum = sum + v - gone[k]
			to[k] = sum
		}
		i += len(come)
	}
	for ; i < n; i++ {
		sum -= in[i-r-1]
		out[i] = sum
	}
}

// between is what is finer than one mean and coarser than the other, bounded at clipAt
// robust standard deviations (uncertainty.FromMedian of the median size, of about a
// thousand of them).
func between(fine, coarse, out []float32) {
	var size []float32
	for i := 0; i < len(fine); i += max(1, len(fine)/2000) {
		if d := fine[i] - coarse[i]; d > 0 {
			size = append(size, d)
		} else if d < 0 {
			size = append(size, -d)
		}
	}
	limit := float32(math.Inf(1))
	if len(size) > 0 {
		limit = clipAt * uncertainty.FromMedian * rank.Median(size)
	}
	coarse, out = coarse[:len(fine)], out[:len(fine)]
	for i, v := range fine {
		d := v - coarse[i]
		if d > limit {
			d = limit
		} else if d < -limit {
			d = -limit
		}
		out[i] = d
	}
}
