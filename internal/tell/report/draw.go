package report

import (
	"image"
	"image/color"
	"image/draw"
	"math"
	"sync"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
	"golang.org/x/image/vector"

	"netagauge/internal/tell/letters"
)

// Colours that people with any colour vision tell apart: Okabe & Ito, Color
// Universal Design (2008).
var (
	green     = color.RGBA{0, 158, 115, 255}
	vermilion = color.RGBA{213, 94, 0, 255}
	yellow    = color.RGBA{240, 228, 66, 255}
	white     = color.RGBA{255, 255, 255, 255}
	dark      = color.RGBA{24, 24, 24, 255}
)

// The fonts of labels, and what has the letters that the first one lacks.
var (
	boldFont     = sync.OnceValue(func() *sfnt.Font { return mustParse(gobold.TTF) })
	japaneseFont = sync.OnceValue(func() *sfnt.Font { return mustParse(letters.Japanese()) })
)

func mustParse(data []byte) *sfnt.Font {
	f, err := opentype.Parse(data)
	if err != nil {
		panic(err) // the font is part of the program
	}
	return f
}

// pt is a point of the picture in px.
type pt struct{ x, y float64 }

// pen draws on one picture. It is for one goroutine.
type pen struct {
	img    *image.RGBA
	raster vector.Rasterizer
	face   font.Face
	more   func() (font.Face, error) // for letters that face lacks
	glyphs map[rune]glyph
}

// glyph is a drawn letter, kept because letters repeat.
type glyph struct {
	mask    *image.Alpha // nil for a letter without ink
	at      image.Point  // of the mask, from the pen's place on the line
	advance int
}

// newPen makes a pen whose letters are size px high.
func newPen(img *image.RGBA, size float64) (*pen, error) {
	options := &opentype.FaceOptions{Size: size, DPI: 72, Hinting: font.HintingFull}
	face, err := opentype.NewFace(boldFont(), options)
	if err != nil {
		return nil, err
	}
	more := sync.OnceValues(func() (font.Face, error) { return opentype.NewFace(japaneseFont(), options) })
	return &pen{img: img, face: face, more: more, glyphs: map[rune]glyph{}}, nil
}

// fill paints polygons; where they overlap they must turn the same way.
func (p *pen) fill(c color.Color, polygons ...[]pt) {
	box := bounds(polygons...).Intersect(p.img.Bounds())
	if box.Empty() {
		return
	}
	p.trace(box, polygons...)
	p.raster.Draw(p.img, box, image.NewUniform(c), image.Point{})
}

// mask returns how much of each pixel in the box a polygon covers.
func (p *pen) mask(box image.Rectangle, polygon []pt) *image.Alpha {
	m := image.NewAlpha(box)
	p.trace(box, polygon)
	p.raster.Draw(m, box, image.Opaque, image.Point{})
	return m
}

// trace hands polygons to the rasterizer, which divides by zero on points that
// lie extremely far out: those are held at the rim of what it can take.
func (p *pen) trace(box image.Rectangle, polygons ...[]pt) {
	const rim = 8192
	p.raster.Reset(box.Dx(), box.Dy())
	x0, y0 := float64(box.Min.X), float64(box.Min.Y)
	for _, poly := range polygons {
		for i, q := range poly {
			x, y := float32(min(max(q.x-x0, -rim), rim)), float32(min(max(q.y-y0, -rim), rim))
			if i == 0 {
				p.raster.MoveTo(x, y)
			} else {
				p.raster.LineTo(x, y)
			}
		}
		p.raster.ClosePath()
	}
}

// stroke draws a line with round joins.
func (p *pen) stroke(line []pt, width float64, c color.Color) {
	p.fill(c, ribbon(line, width)...)
}

// ribbon turns a line into polygons that all turn the same way: a bar along
// each step and an octagon on each point.
func ribbon(line []pt, width float64) [][]pt {
	h := width / 2
	var out [][]pt
	for i, b := range line {
		knot := make([]pt, 8)
		for k := range knot {
			sin, cos := math.Sincos(float64(k) * math.Pi / 4)
			knot[k] = pt{b.x + h*cos, b.y + h*sin}
		}
		out = append(out, knot)
		if i == 0 {
			continue
		}
		a := line[i-1]
		d := math.Hypot(b.x-a.x, b.y-a.y)
		if d == 0 {
			continue
		}
		nx, ny := (b.y-a.y)/d*h, -(b.x-a.x)/d*h
		out = append(out, []pt{{a.x + nx, a.y + ny}, {b.x + nx, b.y + ny}, {b.x - nx, b.y - ny}, {a.x - nx, a.y - ny}})
	}
	return out
}

// maxDashes bounds the work on a line that leaves the picture by far.
const maxDashes = 4000

// dashes cuts a line into pieces of length on with gaps of length off.
func dashes(line []pt, on, off float64) [][]pt {
	var out [][]pt
	drawing, left := true, on
	var current []pt
	for i := 1; i < len(line) && len(out) < maxDashes; i++ {
		a, b := line[i-1], line[i]
		for d := math.Hypot(b.x-a.x, b.y-a.y); d > 0 && len(out) < maxDashes; d = math.Hypot(b.x-a.x, b.y-a.y) {
			step := math.Min(left, d)
			next := pt{a.x + (b.x-a.x)*step/d, a.y + (b.y-a.y)*step/d}
			if step == d {
				next = b
			}
			if drawing {
				if len(current) == 0 {
					current = append(current, a)
				}
				current = append(current, next)
			}
			a, left = next, left-step
			if left > 0 {
				break
			}
			if drawing {
				out, current = append(out, current), nil
			}
			drawing, left = !drawing, on
			if !drawing {
				left = off
			}
		}
	}
	if len(current) > 1 {
		out = append(out, current)
	}
	return out
}

func (p *pen) strokeDashed(line []pt, width, on, off float64, c color.Color) {
	var all [][]pt
	for _, d := range dashes(line, on, off) {
		all = append(all, ribbon(d, width)...)
	}
	p.fill(c, all...)
}

// glyph draws a letter once and keeps it.
func (p *pen) glyph(r rune) glyph {
	if g, ok := p.glyphs[r]; ok {
		return g
	}
	face := p.face
	if i, err := boldFont().GlyphIndex(&sfnt.Buffer{}, r); err == nil && i == 0 {
		if more, err := p.more(); err == nil {
			face = more
		}
	}
	dr, mask, at, advance, _ := face.Glyph(fixed.Point26_6{}, r)
	g := glyph{at: dr.Min, advance: advance.Round()}
	if !dr.Empty() {
		g.mask = image.NewAlpha(image.Rectangle{Max: dr.Size()})
		draw.Draw(g.mask, g.mask.Bounds(), mask, at, draw.Src)
	}
	p.glyphs[r] = g
	return g
}

// write draws text with its baseline starting at a point.
func (p *pen) write(s string, at image.Point, c color.Color) {
	src := image.NewUniform(c)
	for _, r := range s {
		g := p.glyph(r)
		if g.mask != nil {
			to := g.mask.Bounds().Add(at).Add(g.at)
			draw.DrawMask(p.img, to, src, image.Point{}, g.mask, image.Point{}, draw.Over)
		}
		at.X += g.advance
	}
}

// measure returns the width of a text in px.
func (p *pen) measure(s string) int {
	w := 0
	for _, r := range s {
		w += p.glyph(r).advance
	}
	return w
}

// bounds is the smallest rectangle of whole pixels around polygons; it is empty
// when they lie beyond any picture.
func bounds(polygons ...[]pt) image.Rectangle {
	const far = 1 << 20
	x0, y0, x1, y1 := math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, poly := range polygons {
		for _, q := range poly {
			x0, x1 = math.Min(x0, q.x), math.Max(x1, q.x)
			y0, y1 = math.Min(y0, q.y), math.Max(y1, q.y)
		}
	}
	if !(x0 > -far && y0 > -far && x1 < far && y1 < far) {
		return image.Rectangle{}
	}
	return image.Rect(int(math.Floor(x0)), int(math.Floor(y0)), int(math.Ceil(x1)), int(math.Ceil(y1)))
}
