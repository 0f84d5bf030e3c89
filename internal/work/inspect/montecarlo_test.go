package inspect

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/core/fatal"
	"netagauge/internal/core/uncertainty"
	"netagauge/internal/judge/standard"
	"netagauge/internal/judge/ticket"
	"netagauge/internal/judge/weight"
	"netagauge/internal/see/mat"
	"netagauge/internal/see/parallax"
	"netagauge/internal/see/segment"
	"netagauge/internal/see/shape"
	"netagauge/internal/see/shapetest"
	"netagauge/internal/see/stereo"
)

// JCGM 101:2008, clause 8, for length, width and area: the linear budget against
// the geometry itself with all that it rests on drawn anew each time. An upright
// slice is looked at from the side; where its edge is seen, its height and the
// print vary. Half a unit of the one digit of u that people read is allowed. A koba,
// which a slice has or has not, is no small error: TestKobaIsInTheBudget is about it.
func TestLinearBudgetAgainstMonteCarlo(t *testing.T) {
	layout, err := mat.ByName("a4")
	if err != nil {
		t.Fatal(err)
	}
	const heightU, printU = 0.3, 0.0012
	s := &scene{
		in:    job{Ticket: ticket.Ticket{Standard: standard.Default()}},
		found: mat.Found{Layout: layout},
		eye:   parallax.Eye{Foot: r2.Vec{X: 60, Y: 90}, Height: 430},
		print: printScale{value: 1, u: printU},
	}
	face := shapetest.Placed(shapetest.Parallelogram(80, 35, 0), 20, r2.Vec{X: 190, Y: 120})
	const height = 4.0
	view := seenFrom(s.eye, face, height)
	p := &thing{seen: segment.Piece{Outline: view}}
	above, err := parallax.Above([]parallax.View{{Outline: view, Eye: s.eye}}, parallax.Upright(height))
	if err != nil {
		t.Fatal(err)
	}
	p.above = above
	if p.m, err = shape.Measure(above.Whole); err != nil {
		t.Fatal(err)
	}
	p.top.Known = true
	linear := s.spread(p, heightU, doubt{})
	sizes := simulated(t, s, view, height, heightU)
	for name, c := range map[string]struct {
		x, u float64
		of   func(shape.Size) float64
	}{
		"length": {p.m.Length, linear.length, func(z shape.Size) float64 { return z.Length }},
		"width":  {p.m.Width, linear.width, func(z shape.Size) float64 { return z.Width }},
		"area":   {p.m.Area, linear.area, func(z shape.Size) float64 { return z.Area }},
	} {
		low, high := interval(sizes, c.of)
		digit := math.Pow10(int(math.Floor(math.Log10(c.u / 2))))
		for end, off := range map[string]float64{"lower": c.x - c.u - low, "upper": c.x + c.u - high} {
			if math.Abs(off) > digit/2 {
				t.Errorf("%s: %.3f ± %.3f by the linear budget, %.3f to %.3f by Monte Carlo: the %s end is off by %.3f, allowed %.3f",
					name, c.x, c.u, low, high, end, off, digit/2)
			}
		}
	}
}

// A koba on the side away from the camera: its upper edge lies half as high, the outline
// is taken back as if it lay as high as the others, and the slice comes out too narrow.
// The budget has that width and area, so often as a side has a koba; a second photo,
// which would have seen it, has nothing of it.
func TestKobaIsInTheBudget(t *testing.T) {
	const height = 4.0
	layout, err := mat.ByName("a4")
	fatal.If(t, err)
	s := &scene{
		in:    job{Ticket: ticket.Ticket{Standard: standard.Default()}},
		found: mat.Found{Layout: layout},
		eye:   parallax.Eye{Height: 400},
	}
	s.in.Matter.Thickness = weight.Seen{Each: map[int]uncertainty.Value{0: {X: height}}}
	face := shape.Outline{{X: -40, Y: 180}, {X: 40, Y: 180}, {X: 40, Y: 215}, {X: -40, Y: 215}}
	measured := func(far float64) *thing {
		view := slices.Clone(face)
		for _, q := range face {
			h := height
			if q.Y > 200 {
				h = far
			}
			view = append(view, r2.Scale(400/(400-h), q))
		}
		p := &thing{seen: segment.Piece{Outline: view.Hull()}}
		p.above, err = parallax.Above([]parallax.View{{Outline: p.seen.Outline, Eye: s.eye}}, parallax.Upright(height))
		fatal.If(t, err)
		p.m, err = shape.Measure(p.above.Whole)
		fatal.If(t, err)
		return p
	}
	even, koba := measured(height), measured(height/2)
	one := s.spread(even, 0, doubt{})
	even.top.Known = true
	two := s.spread(even, 0, doubt{})
	if two.koba != 0 {
		t.Errorf("a koba that two photos do not see is open by %.3f", two.koba)
	}
	even.along, even.top.Koba = r2.Vec{X: 1}, stereo.Yes
	for side, want := range map[int]float64{1: 2 * kobaFound * height * 215 / 400, -1: 0} { // 215 mm from below the eye at 400
		even.top.Side = side
		if got := s.spread(even, 0, doubt{}).koba; math.Abs(got-want) > 0.02 {
			t.Errorf("a koba found on side %d leaves %.3f open, want %.3f", side, got, want)
		}
	}
	moves := one.koba / 2 / math.Sqrt(kobaShare)
	for name, c := range map[string][2]float64{
		"width": {moves, even.m.Width - koba.m.Width},
		"area":  {moves * even.m.Length, even.m.Area - koba.m.Area},
	} {
		if math.Abs(c[0]-c[1]) > 0.1*c[1] {
			t.Errorf("%s: a koba counts for %.3f, and makes %.3f", name, c[0], c[1])
		}
	}
}

// seenFrom is an upright slice's outline as a camera sees it, on the mat: the hull
// of the foot and of the top as projected.
func seenFrom(eye parallax.Eye, face shape.Outline, height float64) shape.Outline {
	all := slices.Clone(face)
	for _, q := range face {
		all = append(all, r2.Add(eye.Foot, r2.Scale(eye.Height/(eye.Height-height), r2.Sub(q, eye.Foot))))
	}
	return all.Hull()
}

// grown is a convex outline with every side moved outwards by so many mm.
func grown(o shape.Outline, by float64) shape.Outline {
	out := make(shape.Outline, len(o))
	normal := func(a, b r2.Vec) r2.Vec {
		d := r2.Unit(r2.Sub(b, a))
		return r2.Vec{X: d.Y, Y: -d.X}
	}
	for i, q := range o {
		a, b := normal(o[(i+len(o)-1)%len(o)], q), normal(q, o[(i+1)%len(o)])
		out[i] = r2.Add(q, r2.Scale(by/(1+r2.Dot(a, b)), r2.Add(a, b)))
	}
	return out
}

// simulated are the sizes as they come out with all that they rest on drawn anew, so
// often that the ends of an interval are known to a fiftieth of its width.
func simulated(t *testing.T, s *scene, view shape.Outline, height, heightU float64) []shape.Size {
	t.Helper()
	out := make([]shape.Size, 10_000)
	r := rand.New(rand.NewPCG(101, 2008))
	for i := range out {
		edge := edgeU * r.NormFloat64() // the same all round
		scale := 1 + s.print.u*r.NormFloat64()
		v := parallax.View{Outline: grown(view, edge), Eye: s.eye}
		above, err := parallax.Above([]parallax.View{v}, parallax.Upright(height+heightU*r.NormFloat64()))
		if err != nil {
			t.Fatal(err)
		}
		z, err := shape.MeasureSize(above.Whole)
		if err != nil {
			t.Fatal(err)
		}
		out[i] = shape.Size{Length: scale * z.Length, Width: scale * z.Width, Area: scale * scale * z.Area}
	}
	return out
}

// interval holds 95 % of a measure's draws, as many below it as above.
func interval(sizes []shape.Size, of func(shape.Size) float64) (low, high float64) {
	v := make([]float64, len(sizes))
	for i, z := range sizes {
		v[i] = of(z)
	}
	slices.Sort(v)
	return v[len(v)*25/1000], v[len(v)*975/1000]
}
