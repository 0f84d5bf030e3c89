package stereo

import (
	"math"

	"netagauge/internal/core/rank"
	"netagauge/internal/core/uncertainty"
	"netagauge/internal/see/vision"

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

// one is a code value of brightness as sampled: whole numbers, since sums of them can
// be moved along without rounding. The largest box of white is half of what 32 bits hold.
const one = 1 << 12

// filter parts what is sampled on a patch into bands. It keeps its working
// memory, and how many cells count around each, from one picture to the next.
type filter struct {
	patch patch
	mask  []bool
	share [bands + 1][]float32 // one over the number of cells that count, in code values
	raw   []int32
	boxes *vision.Boxes
}

func newFilter(g patch) *filter {
	n := g.nx * g.ny
	f := &filter{patch: g, mask: make([]bool, n), raw: make([]int32, n), boxes: vision.NewBoxes(g.nx, g.ny, boxes[bands])}
	for k := range f.share {
		f.share[k] = make([]float32, n)
	}
	return f
}

// texture is a photo on a patch, parted into bands, and where each is bounded: 0
// before the first time.
type texture struct {
	of    [bands][]float32
	limit [bands]float32
}

func newTexture(g patch) (t texture) {
	for k := range t.of {
		t.of[k] = make([]float32, g.nx*g.ny)
	}
	return t
}

// count takes the mask as it is now.
func (f *filter) count() {
	for i, in := range f.mask {
		if in {
			f.raw[i] = 1
		}
	}
	f.boxes.Take(f.raw)
	count := make([]int32, len(f.raw))
	for k, share := range f.share {
		f.boxes.Sum(boxes[k], count)
		for i, n := range count {
			if f.mask[i] {
				share[i] = 1 / float32(n*one)
			}
		}
	}
}

// texture samples a photo on a patch of the same cells as if every cell lay at height mm above
// the mat, within the mask, and parts it into bands, written to out. Cells off
// the photo make it false.
func (f *filter) texture(v View, g patch, height float64, out *texture) bool {
	whole := true
	for y := range g.ny {
		whole = v.row(g, y, height, f.mask[y*g.nx:(y+1)*g.nx], f.raw[y*g.nx:(y+1)*g.nx]) && whole
	}
	f.boxes.Take(f.raw)
	for k, band := range out.of {
		if out.limit[k] == 0 {
			f.between(k, infinite, band)
			out.limit[k] = limit(band)
		}
		f.between(k, out.limit[k], band)
	}
	return whole
}

// between is what is finer than one mean and coarser than the next, bounded.
func (f *filter) between(k int, limit float32, out []float32) {
	f.boxes.Between(boxes[k], boxes[k+1], f.share[k], f.share[k+1], limit, out)
}

// row samples one row of the patch; false when a cell lies off the photo.
func (v View) row(g patch, y int, height float64, mask []bool, out []int32) bool {
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
func (v View) strip(a, step r2.Vec, mask []bool, out []int32) bool {
	const places = 32 // bits of a place behind the point
	w, h := v.Luma.Rect.Dx()-1, v.Luma.Rect.Dy()-1
	pix, stride := v.Luma.Pix, v.Luma.Stride
	x, y, dx, dy := int(a.X*(1<<places)), int(a.Y*(1<<places)), int(step.X*(1<<places)), int(step.Y*(1<<places))
	whole := true
	out = out[:len(mask)]
	for k, in := range mask {
		if ix, iy := x>>places, y>>places; !in {
		} else if uint(ix) >= uint(w) || uint(iy) >= uint(h) {
			out[k], whole = 0, false
		} else {
			fx, fy := x>>(places-12)&(one-1), y>>(places-12)&(one-1)
			i := iy*stride + ix
			up, down := pix[i:i+2], pix[i+stride:i+stride+2]
			top, bottom := int(up[0])*(one-fx)+int(up[1])*fx, int(down[0])*(one-fx)+int(down[1])*fx
			out[k] = int32((top*(one-fy) + bottom*fy) / one)
		}
		x, y = x+dx, y+dy
	}
	return whole
}

// limit is where a band of a photo is bounded: at clipAt robust standard deviations
// (uncertainty.FromMedian of the median size, of about a thousand of them).
func limit(band []float32) float32 {
	var size []float32
	for i := 0; i < len(band); i += max(1, len(band)/2000) {
		if d := band[i]; d > 0 {
			size = append(size, d)
		} else if d < 0 {
			size = append(size, -d)
		}
	}
	if len(size) == 0 {
		return infinite
	}
	return clipAt * uncertainty.FromMedian * rank.Median(size)
}

var infinite = float32(math.Inf(1))
