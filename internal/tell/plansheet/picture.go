package plansheet

import (
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"math"
	"slices"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"
	"golang.org/x/image/vector"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"netagauge/internal/judge/plan"
)

// Picture is a photo of the block rectified to the mat's plane: the pixel at
// (0, 0) has its corner at the mat point Corner, mm. The camera saw what lies
// above the mat from the point EyeHeight mm over Foot, so that the block's top
// shows displaced; with EyeHeight 0 the picture is as from straight above at
// every height.
type Picture struct {
	Base      *image.RGBA
	PxPerMM   float64
	Corner    r2.Vec
	Foot      r2.Vec
	EyeHeight float64
}

// Px is where a point of the mat frame (z up from the mat) shows, in pixels
// from the picture's corner.
func (p Picture) Px(at r3.Vec) r2.Vec {
	v := r2.Vec{X: at.X, Y: at.Y}
	if p.EyeHeight > at.Z {
		v = r2.Add(p.Foot, r2.Scale(p.EyeHeight/(p.EyeHeight-at.Z), r2.Sub(v, p.Foot)))
	}
	return r2.Scale(p.PxPerMM, r2.Sub(v, p.Corner))
}

// Draw puts every cut with its number on a copy of the picture, each on top of
// the block where the knife goes in, and an arrow to the end where cutting starts.
// place is how the block lies on the mat.
func Draw(pic Picture, place plan.Place, p plan.Plan) (*image.RGBA, error) {
	face, err := numberFace(4 * pic.PxPerMM)
	if err != nil {
		return nil, err
	}
	defer face.Close()
	out := image.NewRGBA(pic.Base.Bounds())
	draw.Draw(out, out.Bounds(), pic.Base, pic.Base.Bounds().Min, draw.Src)
	b := pen{out, face, pic.PxPerMM}
	see := func(at r3.Vec) r2.Vec { return pic.Px(place.Mat(at)) }
	var rings []r3.Vec
	for i, c := range p.Cuts {
		top, _ := p.Traces(i)
		var line []r2.Vec
		for _, at := range top {
			line = append(line, see(at))
		}
		b.polyline(line, 1.2, color.Black)
		b.polyline(line, 0.6, color.White)
		if len(line) == 0 {
			continue
		}
		at := freeRing(top[0], rings)
		rings = append(rings, at)
		b.ring(see(at), fmt.Sprint(c.Number))
	}
	b.start(see, p)
	return out, nil
}

// freeRing is where the number of a cut that enters there stands: before the near edge,
// in the first row in which it covers no other.
func freeRing(entry r3.Vec, rings []r3.Vec) r3.Vec {
	const first, row = 5.0, 7.0 // mm
	at := entry
	at.Y -= first
	for slices.ContainsFunc(rings, func(other r3.Vec) bool { return math.Hypot(at.X-other.X, at.Y-other.Y) < row }) {
		at.Y -= row
	}
	return at
}

func numberFace(px float64) (font.Face, error) {
	f, err := opentype.Parse(gobold.TTF)
	if err != nil {
		return nil, err
	}
	return opentype.NewFace(f, &opentype.FaceOptions{Size: max(px, 8), DPI: 72, Hinting: font.HintingNone})
}

// pen draws on a picture; widths are in mm of the mat.
type pen struct {
	on      *image.RGBA
	face    font.Face
	pxPerMM float64
}

// polyline draws each stretch as a filled quadrilateral.
func (p pen) polyline(ps []r2.Vec, width float64, c color.Color) {
	for i := 1; i < len(ps); i++ {
		a, b := ps[i-1], ps[i]
		if a == b {
			continue
		}
		along := r2.Unit(r2.Sub(b, a))
		side := r2.Scale(width*p.pxPerMM/2, r2.Vec{X: -along.Y, Y: along.X})
		p.fill([]r2.Vec{r2.Add(a, side), r2.Add(b, side), r2.Sub(b, side), r2.Sub(a, side)}, c)
	}
}

// fill paints a polygon, anti-aliased, its coordinates counted from the
// picture's upper left corner.
func (p pen) fill(ps []r2.Vec, c color.Color) {
	lo, hi := ps[0], ps[0]
	for _, v := range ps {
		lo = r2.Vec{X: min(lo.X, v.X), Y: min(lo.Y, v.Y)}
		hi = r2.Vec{X: max(hi.X, v.X), Y: max(hi.Y, v.Y)}
	}
	box := image.Rect(int(math.Floor(lo.X)), int(math.Floor(lo.Y)), int(math.Ceil(hi.X)), int(math.Ceil(hi.Y)))
	if size := p.on.Bounds().Size(); box.Intersect(image.Rectangle{Max: size}).Empty() {
		return
	}
	r := vector.NewRasterizer(box.Dx(), box.Dy())
	for i, v := range ps {
		if x, y := float32(v.X)-float32(box.Min.X), float32(v.Y)-float32(box.Min.Y); i == 0 {
			r.MoveTo(x, y)
		} else {
			r.LineTo(x, y)
		}
	}
	r.ClosePath()
	r.Draw(p.on, box.Add(p.on.Bounds().Min), image.NewUniform(c), image.Point{})
}

func (p pen) disc(at r2.Vec, radius float64, c color.Color) {
	const corners = 32
	ps := make([]r2.Vec, corners)
	for i := range ps {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / corners)
		ps[i] = r2.Add(at, r2.Scale(radius*p.pxPerMM, r2.Vec{X: cos, Y: sin}))
	}
	p.fill(ps, c)
}

func (p pen) ring(at r2.Vec, text string) {
	p.disc(at, 3.3, color.Black)
	p.disc(at, 3.0, color.White)
	p.write(at, text)
}

// write centres a text.
func (p pen) write(at r2.Vec, text string) {
	d := font.Drawer{Dst: p.on, Src: image.Black, Face: p.face}
	wide := float64(d.MeasureString(text)) / 64
	high := float64(p.face.Metrics().CapHeight) / 64
	corner := p.on.Bounds().Min
	d.Dot = fixed.Point26_6{
		X: fixed.Int26_6(64 * (float64(corner.X) + at.X - wide/2)),
		Y: fixed.Int26_6(64 * (float64(corner.Y) + at.Y + high/2)),
	}
	d.DrawString(text)
}

// start points, in white, at the end where cutting starts: the picture speaks no language.
func (p pen) start(see func(r3.Vec) r2.Vec, pl plan.Plan) {
	const tip, tail, half = 4.0, 16.0, 6.0   // mm off the block's end, and to either side
	end := pl.BlockFromStart().Section(tail) // the very end may be askew
	middle := (end.Near + end.Far) / 2
	at := func(off, aside float64) r2.Vec {
		return see(r3.Vec{X: pl.FromTail(-off), Y: middle + aside})
	}
	p.fill([]r2.Vec{at(tip-2, 0), at(tail+1, half+2), at(tail+1, -half-2)}, color.Black)
	p.fill([]r2.Vec{at(tip, 0), at(tail, half), at(tail, -half)}, color.White)
}
