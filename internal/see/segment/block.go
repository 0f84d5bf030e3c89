package segment

import (
	"errors"
	"image"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/see/mat"
	"netagauge/internal/see/vision"
)

// ErrNoBlock means that nothing as large as a block lies wholly on the mat.
var ErrNoBlock = errors.New("no block lies wholly on the mat")

// paperInset keeps the search off the paper's own edge, mm; paperColour is how
// far a colour must lie from the paper's to be fish, as a ratio to brightness.
const (
	paperInset    = 4.0
	paperColour   = 0.045
	smallestBlock = 5500.0 // mm²; below it lies a slice
	paperDark     = 75     // below this brightness a pixel of the border is ink
)

// Block traces the largest piece on the whole mat, border included: a block is
// so high that its top is seen beyond the field it lies on. Fish is told from
// the white border by its colour.
func Block(photo *image.YCbCr, up Upright, f mat.Found) (Piece, error) {
	px := func(v float64) int { return int(math.Round(v * up.PxPerMM)) }
	l := f.Layout
	whole := image.Rect(px(paperInset), px(paperInset), px(l.Paper.X-paperInset), px(l.Paper.Y-paperInset))
	inner := image.Rect(px(l.Field.Min.X)+2, px(l.Field.Min.Y)+2, px(l.Field.Max.X)-2, px(l.Field.Max.Y)-2)
	bare := learn(crop(up.Picture, inner))
	b, r := paperOf(up.Picture, inner)
	mask := bare.wholeMask(up.Picture, whole, inner, b, r)
	contours, err := vision.Contours(mask, 4, 4)
	if err != nil {
		return Piece{}, err
	}
	var best vision.Contour
	for _, c := range contours {
		if c.Area > best.Area {
			best = c
		}
	}
	if best.Area < smallestBlock*up.PxPerMM*up.PxPerMM || atEdge(best.Points, whole) {
		return Piece{}, ErrNoBlock
	}
	coarse := make([]r2.Vec, len(best.Points))
	for i, q := range best.Points {
		coarse[i] = r2.Scale(1/up.PxPerMM, r2.Vec{X: float64(q.X + whole.Min.X), Y: float64(q.Y + whole.Min.Y)})
	}
	pl, err := look(photo, f)
	if err != nil {
		return Piece{}, err
	}
	t := newTracer(pl, &f.Camera, bare, func(p r2.Vec) (x, y int) { return px(p.X) - inner.Min.X, px(p.Y) - inner.Min.Y })
	t.paper, t.field2D = &colour{l: 1, b: b, r: r}, l.Field
	if t.offPhoto(coarse) {
		return Piece{}, ErrNoBlock
	}
	return t.piece(coarse, best, whole), nil
}

// paperOf is the colour of the white border just outside the field.
func paperOf(p *image.YCbCr, inner image.Rectangle) (b, r float64) {
	var bs, rs []float64
	add := func(x, y int) {
		i := y*p.YStride + x
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
	slices.Sort(bs)
	slices.Sort(rs)
	if len(bs) == 0 {
		return 0, 0
	}
	return bs[len(bs)/2], rs[len(rs)/2]
}

// wholeMask marks what is neither bare field nor white border.
func (f *field) wholeMask(p *image.YCbCr, whole, inner image.Rectangle, pb, pr float64) *image.Gray {
	out := image.NewGray(image.Rect(0, 0, whole.Dx(), whole.Dy()))
	limit := math.Max(chromaShare*f.chroma, noiseTimes*f.noise)
	for y := whole.Min.Y; y < whole.Max.Y; y++ {
		for x := whole.Min.X; x < whole.Max.X; x++ {
			i := y*p.YStride + x
			l, b, r := ratios(p.Y[i], p.Cb[i], p.Cr[i])
			fx, fy := min(max(x-inner.Min.X, 0), f.w-1), min(max(y-inner.Min.Y, 0), f.h-1)
			_, mb, mr := f.at(fx, fy)
			fish := math.Hypot(b-mb, r-mr) > limit
			if !image.Pt(x, y).In(inner) {
				// Across the printed edge blue and white mix: what lies between
				// the two colours is neither.
				fish = fish && l > paperDark && between(b, r, mb, mr, pb, pr) > paperColour
			}
			if fish {
				out.Pix[(y-whole.Min.Y)*out.Stride+x-whole.Min.X] = 255
			}
		}
	}
	return out
}

// between is the distance of a colour from the line between two others.
func between(b, r, b0, r0, b1, r1 float64) float64 {
	p, d := r2.Vec{X: b - b0, Y: r - r0}, r2.Vec{X: b1 - b0, Y: r1 - r0}
	t := math.Max(0, math.Min(1, r2.Dot(p, d)/math.Max(r2.Norm2(d), 1e-9)))
	return r2.Norm(r2.Sub(p, r2.Scale(t, d)))
}
