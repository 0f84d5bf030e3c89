package stereo

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/see/vision"
)

// Blocks are long and narrow, so that a step along an edge fills some wholly.
const (
	blockAlong, blockAcross = 5.0, 1.0 // mm
)

// volume holds, for each height of a sweep, block and band, the sums of
// products of the two photos' textures.
type volume struct {
	patch   patch
	heights []float64
	bx, by  int              // blocks along and across
	at      []vision.Banded  // block by block, and for each its heights; two of nothing behind
	mix     []vision.Mixture // working memory
}

// newVolume is one without sums.
func newVolume(g patch, heights []float64, bx, by int) *volume {
	return &volume{g, heights, bx, by, make([]vision.Banded, bx*by*len(heights)+2), make([]vision.Mixture, bx*by)}
}

// put keeps the sums of all blocks at one of the heights.
func (v *volume) put(height int, blocks []vision.Banded) {
	for b, s := range blocks {
		v.at[b*len(v.heights)+height] = s
	}
}

// sweep compares both photos on a stack of planes (plane sweep, Collins 1996).
// The patch lies about where the top does, at a height of its own; its cells are
// followed along the rays of photo A, so that A is looked at once and B at each
// height, wherever both see the inside of the outline.
func (p Pair) sweep(g patch, a, b inside, at float64, heights []float64) *volume {
	nx, ny := int(math.Round(blockAlong/g.pitch)), int(math.Round(blockAcross/g.pitch))
	v := newVolume(g, heights, (g.nx+nx-1)/nx, (g.ny+ny-1)/ny)
	f := newFilter(g)
	mask(g, a, b, at, leastDepth, f.mask)
	f.count()
	both := make([]bool, len(f.mask))
	ta, tb := newTexture(g), newTexture(g)
	seen := f.texture(p.A, g, at, &ta)
	blocks := make([]vision.Banded, v.bx*v.by)
	for height, h := range heights {
		moved := g.raised(a.eye, at, h)
		copy(both, f.mask)
		for y := range g.ny {
			b.row(moved, y, h, leastDepth, both[y*g.nx:(y+1)*g.nx])
		}
		if !seen || !f.texture(p.B, moved, h, &tb) {
			continue // off one of the photos: nothing is known at this height
		}
		clear(blocks)
		for y := range g.ny {
			for k := range bands {
				row := y * g.nx
				products(both[row:row+g.nx], ta.of[k][row:], tb.of[k][row:], nx, k, blocks[y/ny*v.bx:])
			}
		}
		v.put(height, blocks)
	}
	return v
}

// products adds those of a row of cells in both photos, nx to a block, to the sums of
// a band.
func products(both []bool, a, b []float32, nx, band int, blocks []vision.Banded) {
	for x := 0; x < len(both); x += nx {
		s := blocks[x/nx][band]
		in := both[x:min(x+nx, len(both))]
		a, b := a[x:][:len(in)], b[x:][:len(in)]
		for i, in := range in {
			if in {
				va, vb := float64(a[i]), float64(b[i])
				s.AB, s.AA, s.BB, s.N = s.AB+va*vb, s.AA+va*va, s.BB+vb*vb, s.N+1
			}
		}
		blocks[x/nx][band] = s
	}
}

// likelihood is the logarithm of how likely both photos show one surface whose
// height over each of some blocks is given, against chance: for two Gaussian
// textures of n independent observations with correlation r it is -n/2·ln(1-r²),
// and the bands' add up.
func (v *volume) likelihood(blocks []int, height func(block int) float64) float64 {
	return v.evidence(v.total(vision.Banded{}, blocks, height))
}

// total adds the sums of some blocks, each at a height, to others.
func (v *volume) total(total vision.Banded, blocks []int, height func(block int) float64) vision.Banded {
	low, step := v.heights[0], v.heights[1]-v.heights[0]
	for k, b := range blocks {
		x := (height(b) - low) / step
		i := min(max(int(x), 0), len(v.heights)-2)
		m := &v.mix[k]
		m.From = int64(b*len(v.heights) + v.weigh(i, x-float64(i), &m.Shares))
	}
	return vision.Mix(total, v.at, v.mix[:len(blocks)])
}

// evidence is that of all bands.
func (v *volume) evidence(total vision.Banded) (l float64) {
	for k, s := range total {
		l += evidence(s, v.patch.pitch, sigmaMM[k])
	}
	return l
}

// weigh gives the weights of the cubic (Catmull-Rom) at f of the way from height i to
// the next, with the coefficients of R. G. Keys (IEEE Trans. ASSP 29, 1981, 1153-1160)
// for a = -1/2: of four heights, and which is the first. At either end it is a line, and
// beyond it stays as it is.
func (v *volume) weigh(i int, f float64, w *[4]float64) (first int) {
	if f < 0 {
		f = 0
	} else if f > 1 {
		f = 1
	}
	if i == 0 || i+2 >= len(v.heights) {
		*w = [4]float64{1 - f, f}
		return i
	}
	w[0], w[1] = f*(-0.5+f*(1-0.5*f)), 1+f*f*(-2.5+1.5*f)
	w[2], w[3] = f*(0.5+f*(2-1.5*f)), f*f*(-0.5+0.5*f)
	return i - 1
}

// evidence is that of two textures whose correlation is AB / √(AA·BB). It counts cells
// within about two standard deviations of the band's mean as one observation.
func evidence(s vision.Products, pitch, sigma float64) float64 {
	if s.AB <= 0 || s.AA <= 0 || s.BB <= 0 {
		return 0
	}
	n := s.N * pitch * pitch / (4 * math.Pi * sigma * sigma)
	r2 := math.Min(0.9999, s.AB*s.AB/(s.AA*s.BB)) // no texture agrees better: its logarithm stays finite
	return -n / 2 * math.Log(1-r2)
}

// best is the height of the flat surface that explains the photos best, given
// about where it should lie and how well that is known.
func (v *volume) best(near, u float64) float64 {
	best, most := near, math.Inf(-1)
	all := make([]int, v.bx*v.by)
	for b := range all {
		all[b] = b
	}
	for _, h := range v.heights {
		z := (h - near) / u
		if l := v.likelihood(all, func(int) float64 { return h }) - z*z/2; l > most {
			best, most = h, l
		}
	}
	return best
}

// middle is the centre of a block on the patch, along and across, mm.
func (v *volume) middle(block int) r2.Vec {
	return r2.Vec{X: (float64(block%v.bx) + 0.5) * blockAlong, Y: (float64(block/v.bx) + 0.5) * blockAcross}
}
