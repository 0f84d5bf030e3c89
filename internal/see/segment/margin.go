package segment

import (
	"image"
	"math"
	"netagauge/internal/core/rank"

	"gonum.org/v1/gonum/spatial/r2"
)

// The white border of the mat is searched as far as the top of a slice on the
// field can be seen over it. Fish is told from paper by its colour, as a ratio to
// brightness; pale fish is not, and what of it reaches over the border is not seen.
const (
	marginMM    = 5.0 // clear of tags and notes
	paperColour = 0.045
	paperDark   = 75   // below this brightness a pixel of the border is ink,
	darkColour  = 0.15 // unless it has so much colour
	tallest     = 7.0  // mm: a slice higher than this is none
	overEdge    = 0.75 // mm by which an outline may pass the field's edge for its blur alone
	paleColour  = 0.12 // twice and a half what tells fish from paper
	paleAt      = 2.5  // mm inside the field's edge
	smearedOver = 1.2  // sigmas
	// An outline that follows the edge of the search for longer goes on unseen: pale
	// fish has the paper's colour, and no other lies along it by chance for long.
	followMM, followColour = 3.0, 12.0 // mm
)

// paperOf is the colour of the white border just outside the field.
func paperOf(p *image.YCbCr, inner image.Rectangle) colour {
	var bs, rs []float64
	add := func(x, y int) {
		i := p.YOffset(x, y)
		if p.Y[i] > paperDark {
			_, cb, cr := ratios(p.Y[i], p.Cb[i], p.Cr[i])
			bs, rs = append(bs, cb), append(rs, cr)
		}
	}
	const off = 8 // px: two millimetres into the border
	for x := inner.Min.X; x < inner.Max.X; x += 3 {
		add(x, inner.Min.Y-off)
		add(x, inner.Max.Y+off)
	}
	for y := inner.Min.Y; y < inner.Max.Y; y += 3 {
		add(inner.Min.X-off, y)
		add(inner.Max.X+off, y)
	}
	if len(bs) == 0 {
		return colour{l: 1}
	}
	return colour{l: 1, b: rank.Median(bs), r: rank.Median(rs)}
}

// withMargin lays the field's mask into one of the whole part of the mat, and
// marks what beyond the field is no paper. Across the printed edge mat and white
// mix, as far as colour is smeared: what lies between the two colours is neither.
func (t *tracer) withMargin(mask *image.Gray, p *image.YCbCr, whole, inner image.Rectangle) *image.Gray {
	out := image.NewGray(image.Rect(0, 0, whole.Dx(), whole.Dy()))
	f := t.field
	clear := inner.Inset(t.band())
	inRows(whole.Dy(), func(row int) {
		y := whole.Min.Y + row
		for x := whole.Min.X; x < whole.Max.X; x++ {
			if x == clear.Min.X && y >= clear.Min.Y && y < clear.Max.Y {
				at := (y-inner.Min.Y)*mask.Stride + x - inner.Min.X
				copy(out.Pix[row*out.Stride+x-whole.Min.X:], mask.Pix[at:at+clear.Dx()])
				x = clear.Max.X
			}
			in := image.Pt(x, y).In(inner)
			i := p.YOffset(x, y)
			if in && mask.Pix[(y-inner.Min.Y)*mask.Stride+x-inner.Min.X] == 0 {
				continue
			}
			limit := math.Max(paperColour, noiseTimes*f.noise)
			if !in && p.Y[i] <= paperDark {
				limit = math.Max(limit, darkColour)
			}
			_, b, r := ratios(p.Y[i], p.Cb[i], p.Cr[i])
			if math.Hypot(b-t.paper.b, r-t.paper.r) <= limit {
				continue // bare paper
			}
			_, mb, mr := f.at(min(max(x-inner.Min.X, 0), f.w-1), min(max(y-inner.Min.Y, 0), f.h-1))
			if between(b, r, mb, mr, t.paper.b, t.paper.r) > limit {
				out.Pix[row*out.Stride+x-whole.Min.X] = 255
			}
		}
	})
	return out
}

// leavesField reports whether a piece's foot is, or may be, off the field: its
// outline passes the field's edge farther than the height of a slice makes it, or
// ends along that edge, as one does whose rest cannot be told from the paper.
func (t *tracer) leavesField(outline []r2.Vec) bool {
	eye := t.cam.Eye()
	foot := r2.Vec{X: eye.X, Y: eye.Y}
	follows := 0.0
	for i, p := range outline {
		d := r2.Sub(p, foot)
		b := t.fieldBox
		for _, side := range [4]struct {
			beyond, fromFoot float64
			in               r2.Vec
		}{
			{b.Min.X - p.X, -d.X, r2.Vec{X: 1}}, {p.X - b.Max.X, d.X, r2.Vec{X: -1}},
			{b.Min.Y - p.Y, -d.Y, r2.Vec{Y: 1}}, {p.Y - b.Max.Y, d.Y, r2.Vec{Y: -1}},
		} {
			if side.beyond > overEdge+tallest*math.Max(0, side.fromFoot)/-eye.Z {
				return true
			}
			if math.Abs(side.beyond*uprightPxPerMM+float64(fieldInset+t.band())) <= 1 && !t.matBeyond(p, side.in) {
				share := 1.0
				if !t.pale(r2.Add(p, r2.Scale(paleAt, side.in))) {
					share = followMM / followColour
				}
				follows += share * r2.Norm(r2.Sub(outline[(i+1)%len(outline)], p))
			}
		}
	}
	return follows > followMM
}

// band is how far into the search the border's colour is smeared, pixels.
func (t *tracer) band() int { return int(smearedOver * t.smear * uprightPxPerMM) }

// matBeyond reports whether the band between the search and the printed edge, where
// it is wide enough to be looked at, is as bright as bare mat beside a place.
func (t *tracer) matBeyond(p, in r2.Vec) bool {
	if t.band() < 4 {
		return false
	}
	q := r2.Sub(p, r2.Scale(float64(t.band())/2/uprightPxPerMM, in))
	c, ok := t.at(t.cam.Project(q, 0), t.sharp)
	x, y := t.fieldX(p)
	l, _, _ := t.field.at(min(max(x, 0), t.field.w-1), min(max(y, 0), t.field.h-1))
	return ok && math.Abs(math.Log(c.l/math.Max(l, 1))) < grayLight
}

// pale reports whether what lies at a place has too little colour to be told from
// the paper.
func (t *tracer) pale(p r2.Vec) bool {
	c, ok := t.at(t.cam.Project(p, 0), t.even)
	return !ok || math.Hypot(c.b/c.l-t.paper.b, c.r/c.l-t.paper.r) < paleColour
}

// between is the distance of a colour from the line between two others.
func between(b, r, b0, r0, b1, r1 float64) float64 {
	p, d := r2.Vec{X: b - b0, Y: r - r0}, r2.Vec{X: b1 - b0, Y: r1 - r0}
	t := math.Max(0, math.Min(1, r2.Dot(p, d)/math.Max(r2.Norm2(d), 1e-9)))
	return r2.Norm(r2.Sub(p, r2.Scale(t, d)))
}
