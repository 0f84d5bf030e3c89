package stereo

import (
	"image"
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"netagauge/internal/see/mat"
	"netagauge/internal/see/shape"
	"netagauge/internal/see/shapetest"
)

// prism is a slice whose photos are drawn by following each pixel's ray: a
// straight-sided face, the height of its top, how far its lower edge lies off the
// upper one, and how strong its texture is.
type prism struct {
	face    shape.Outline
	top     func(p r2.Vec) float64
	run     r2.Vec
	texture float64 // grey levels
}

// axes of every prism: its long axis lies 20 degrees off the mat's.
var long, cross = r2.Vec{X: math.Cos(math.Pi / 9), Y: math.Sin(math.Pi / 9)}, r2.Vec{X: -math.Sin(math.Pi / 9), Y: math.Cos(math.Pi / 9)}

var middle = r2.Vec{X: 200, Y: 150}

func slab(top func(x, y float64) float64) prism {
	return prism{
		face: shapetest.Placed(shapetest.Parallelogram(80, 34, 0), 20, middle),
		top: func(p r2.Vec) float64 {
			d := r2.Sub(p, middle)
			return top(r2.Dot(d, long), r2.Dot(d, cross))
		},
		texture: 20,
	}
}

func flat(h float64) func(x, y float64) float64 { return func(_, _ float64) float64 { return h } }

// camera looks straight down from an eye, 7 px to a millimetre.
func camera(eye r2.Vec, height float64) mat.Camera {
	return mat.Camera{F: 7 * height, Centre: r2.Vec{X: 380, Y: 280},
		R: [3]r3.Vec{{X: 1}, {Y: 1}, {Z: 1}}, T: r3.Vec{X: -eye.X, Y: -eye.Y, Z: height}}
}

// photo draws the prism, moved by a vector, as a camera sees it. The picture is
// large enough for the prism alone.
func (s prism) photo(eye r2.Vec, moved r2.Vec) View {
	const height = 400
	c := camera(eye, height)
	// The crop that holds the slice: the principal point moves with it.
	c.Centre = r2.Add(c.Centre, r2.Sub(r2.Vec{X: 380, Y: 280}, c.Project(middle, 0)))
	img := image.NewGray(image.Rect(0, 0, 760, 560))
	noise := rand.New(rand.NewPCG(uint64(eye.X), 7))
	face := make(shape.Outline, len(s.face))
	for i, p := range s.face {
		face[i] = r2.Add(p, moved)
	}
	var all shape.Outline
	for _, p := range face {
		all = append(all, r2.Add(p, s.run), c.Unproject(c.Project(p, s.top(r2.Sub(p, moved))), 0))
	}
	hull := all.Hull()
	v := View{Luma: img, Camera: c, Outline: dense(hull)}
	for y := range 560 {
		for x := range 760 {
			px := r2.Vec{X: float64(x), Y: float64(y)}
			light := 60.0
			if within(hull, c.Unproject(px, 0)) {
				light = 110 // the wall, unless the ray meets the top
				if p := s.hit(c, px, moved); within(face, p) {
					light = 150 + s.texture*pattern(r2.Sub(p, moved))
				}
			}
			img.Pix[y*img.Stride+x] = uint8(math.Max(0, math.Min(255, light+1.5*noise.NormFloat64())))
		}
	}
	return v
}

// hit is where a pixel's ray meets the top.
func (s prism) hit(c mat.Camera, px, moved r2.Vec) (p r2.Vec) {
	var h float64
	for range 6 {
		p = c.Unproject(px, h)
		h = s.top(r2.Sub(p, moved))
	}
	return p
}

// within is the even-odd rule.
func within(o []r2.Vec, p r2.Vec) (in bool) {
	for i, a := range o {
		b := o[(i+1)%len(o)]
		if (a.Y > p.Y) != (b.Y > p.Y) && p.X < a.X+(p.Y-a.Y)/(b.Y-a.Y)*(b.X-a.X) {
			in = !in
		}
	}
	return in
}

// pairAcross is a pair whose cameras lie to either side of the long axis.
func (s prism) pairAcross() Pair {
	return Pair{s.photo(r2.Add(middle, r2.Scale(-110, cross)), r2.Vec{}), s.photo(r2.Add(middle, r2.Scale(110, cross)), r2.Vec{})}
}

func (s prism) pair(moved r2.Vec) Pair {
	return Pair{s.photo(r2.Vec{X: 100, Y: 130}, r2.Vec{}), s.photo(r2.Vec{X: 320, Y: 190}, moved)}
}

// pattern is value noise in cells of 0.9 mm, -1 to 1.
func pattern(p r2.Vec) float64 {
	x, y := p.X/0.9, p.Y/0.9
	ix, iy := math.Floor(x), math.Floor(y)
	fx, fy := x-ix, y-iy
	at := func(dx, dy int) float64 { return cells[(int(iy)+dy)&511][(int(ix)+dx)&511] }
	return (at(0, 0)*(1-fx)+at(1, 0)*fx)*(1-fy) + (at(0, 1)*(1-fx)+at(1, 1)*fx)*fy
}

var cells = func() (c [512][512]float64) {
	r := rand.New(rand.NewPCG(11, 3))
	for y := range c {
		for x := range c[y] {
			c[y][x] = 2*r.Float64() - 1
		}
	}
	return c
}()

// dense puts a point every half millimetre, as a traced outline has.
func dense(o shape.Outline) []r2.Vec {
	var out []r2.Vec
	for i, p := range o {
		q := o[(i+1)%len(o)]
		n := math.Ceil(r2.Norm(r2.Sub(q, p)) / 0.5)
		for k := range int(n) {
			out = append(out, r2.Add(p, r2.Scale(float64(k)/n, r2.Sub(q, p))))
		}
	}
	return out
}
