package fan

import (
	"image"
	"math"
	"netagauge/internal/core/rank"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// How a row is looked at.
const (
	fine    = 2.0 // px/mm of the row laid level
	halfGap = 2   // px to either side that a change of light is taken between
	clipped = 0.2 // most that a change of light counts, of its logarithm
	margin  = 6.0 // mm
	dim     = 8   // keeps the logarithm finite in the dark
)

// view is a row laid level: it runs to the right, its seams from top to bottom.
type view struct {
	w, h        int
	change      []float32 // of light, from left to right
	in          []bool    // far enough inside for a change to be seen
	top, bottom int       // px: the flanks
	from, to    int       // px: the row's ends, half way between the flanks
	ends        [2][]int  // px: the same for each row of pixels, from endsFrom on
	endsFrom    int
}

// lay turns the picture so that the row runs along a direction.
func lay(light *image.Gray, pxPerMM float64, outline []r2.Vec, along r2.Vec) *view {
	across := r2.Vec{X: -along.Y, Y: along.X}
	lo, hi := r2.Vec{X: math.Inf(1), Y: math.Inf(1)}, r2.Vec{X: math.Inf(-1), Y: math.Inf(-1)}
	level := make([]r2.Vec, len(outline))
	for i, p := range outline {
		q := r2.Vec{X: r2.Dot(p, along), Y: r2.Dot(p, across)}
		lo, hi = r2.Vec{X: min(lo.X, q.X), Y: min(lo.Y, q.Y)}, r2.Vec{X: max(hi.X, q.X), Y: max(hi.Y, q.Y)}
		level[i] = q
	}
	lo = r2.Sub(lo, r2.Vec{X: margin, Y: margin})
	for i, q := range level {
		level[i] = r2.Scale(fine, r2.Sub(q, lo))
	}
	v := &view{w: int((hi.X - lo.X + margin) * fine), h: int((hi.Y - lo.Y + margin) * fine)}
	v.change, v.in = make([]float32, v.w*v.h), make([]bool, v.w*v.h)
	inside := make([]bool, v.w*v.h)
	row := make([]float64, v.w)
	for y := range v.h {
		v.fill(inside[y*v.w:(y+1)*v.w], level, float64(y))
		for x := range row {
			p := r2.Add(lo, r2.Vec{X: float64(x) / fine, Y: float64(y) / fine})
			row[x] = logLight(light, r2.Scale(pxPerMM, r2.Add(r2.Scale(p.X, along), r2.Scale(p.Y, across))))
		}
		v.changes(y, row, inside[y*v.w:(y+1)*v.w])
	}
	v.bounds(inside)
	return v
}

// logLight is that of the four pixels about a place.
func logLight(light *image.Gray, q r2.Vec) float64 {
	x, y := int(math.Floor(q.X)), int(math.Floor(q.Y))
	if !image.Rect(x, y, x+2, y+2).In(light.Rect) {
		return 0
	}
	i := light.PixOffset(x, y)
	return math.Log(float64(int(light.Pix[i])+int(light.Pix[i+1])+int(light.Pix[i+light.Stride])+int(light.Pix[i+light.Stride+1]))/4 + dim)
}

// fill marks what of a row of pixels lies inside the outline.
func (v *view) fill(inside []bool, outline []r2.Vec, y float64) {
	var at []float64
	for i, a := range outline {
		if b := outline[(i+1)%len(outline)]; (a.Y > y) != (b.Y > y) {
			at = append(at, a.X+(y-a.Y)/(b.Y-a.Y)*(b.X-a.X))
		}
	}
	slices.Sort(at)
	for i := 0; i+1 < len(at); i += 2 {
		for x := int(math.Ceil(at[i])); x <= int(at[i+1]); x++ {
			inside[x] = true
		}
	}
}

// changes are those of light along a row of pixels.
func (v *view) changes(y int, row []float64, inside []bool) {
	for x := 2 * halfGap; x+2*halfGap < v.w; x++ {
		if !inside[x-2*halfGap] || !inside[x+2*halfGap] {
			continue
		}
		d := 0.0
		for k := range halfGap {
			d += row[x+k] - row[x-1-k]
		}
		v.in[y*v.w+x] = true
		v.change[y*v.w+x] = float32(max(-clipped, min(clipped, d/halfGap)))
	}
}

// bounds finds where the row's flanks and ends lie, as medians.
func (v *view) bounds(inside []bool) {
	var tops, bottoms []int
	for x := range v.w {
		first, last := -1, -1
		for y := range v.h {
			if inside[y*v.w+x] {
				if first < 0 {
					first = y
				}
				last = y
			}
		}
		if last-first > 10*fine {
			tops, bottoms = append(tops, first), append(bottoms, last)
		}
	}
	if len(tops) == 0 {
		return
	}
	v.top, v.bottom = rank.Median(tops), rank.Median(bottoms)
	v.endsFrom = v.top + (v.bottom-v.top)/5
	for y := v.endsFrom; y <= v.bottom-(v.bottom-v.top)/5; y++ {
		in := inside[y*v.w : (y+1)*v.w]
		a, b := max(0, slices.Index(in, true)), v.w-1
		for b > a && !in[b] {
			b--
		}
		v.ends[0], v.ends[1] = append(v.ends[0], a), append(v.ends[1], b)
	}
	v.from, v.to = rank.Median(v.ends[0]), rank.Median(v.ends[1])
}

// How long the slices of a row can be, mm.
const shortest, longest = 60, 120

// isRow reports whether slices may lie across.
func (v *view) isRow() bool {
	across := float64(v.bottom-v.top) / fine
	return across > shortest && across < longest && float64(v.to-v.from)/fine > 30
}
