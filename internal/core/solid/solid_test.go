package solid

import (
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/floats/scalar"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

// The closed forms are those of Kern and Bland, Solid Mensuration (1938), from
// memory: prism, prismatoid, wedge, truncated prism.

func rectangle(l, w float64) []r2.Vec {
	return []r2.Vec{{}, {X: l}, {X: l, Y: w}, {Y: w}}
}

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !scalar.EqualWithinAbs(got, want, tol) {
		t.Errorf("%s %.6f, want %.6f", what, got, want)
	}
}

// prism is the oblique prism over a face: the upper one is the lower one shifted.
type prism struct {
	lower  []r2.Vec
	shift  r2.Vec
	height float64
}

// volume by Cavalieri: base by height, however far the face is shifted.
func (p prism) volume() float64 { return Area(p.lower) * p.height }

// above is its outline from straight above: both faces and what leans between.
func (p prism) above() []r2.Vec {
	both := slices.Clone(p.lower)
	for _, q := range p.lower {
		both = append(both, r2.Add(q, p.shift))
	}
	return Hull(both)
}

// The hull of a rectangle and of itself shifted is both less two triangles.
func TestHull(t *testing.T) {
	near(t, "area", Area(prism{rectangle(80, 35), r2.Vec{X: 2, Y: 5}, 4}.above()), 82*40-2*5, 1e-9)
}

// A truncated triangular prism holds its right section times the mean of its
// three upright edges; a column is two of them, and folds outward.
func TestColumn(t *testing.T) {
	base := [4]r2.Vec{{}, {X: 40}, {X: 40, Y: 30}, {Y: 30}}
	near(t, "level top", Column(base, [4]float64{20, 20, 20, 20}).whole.Volume, 40*30*20, 1e-9)
	near(t, "sloping top", Column(base, [4]float64{0, 0, 20, 20}).whole.Volume, 40*30*10, 1e-9)
	for _, high := range [][4]float64{{10, 10, 16, 10}, {16, 10, 10, 10}, {10, 16, 10, 10}, {10, 10, 10, 16}} {
		// folded along the diagonal through the corner that stands up
		near(t, "one corner up", Column(base, high).whole.Volume, 600*(36+36)/3, 1e-9)
	}
	near(t, "one corner down", Column(base, [4]float64{16, 16, 10, 16}).whole.Volume, 600*(48+42)/3, 1e-9)
	m := Column(base, [4]float64{20, 20, 20, 20}).whole
	if middle := r3.Scale(1/m.Volume, m.Moment); r3.Norm(r3.Sub(middle, r3.Vec{X: 20, Y: 15, Z: 10})) > 1e-9 {
		t.Errorf("the middle is at %v", middle)
	}
}

// blade is the plane of a cut by its two angles, with the axes along the trace
// and up the blade.
func blade(theta, phi, at float64) (c Plane, along, up r3.Vec) {
	sinT, cosT := math.Sincos(theta * math.Pi / 180)
	sinP, cosP := math.Sincos(phi * math.Pi / 180)
	n := r3.Vec{X: sinT * sinP, Y: cosT * sinP, Z: -cosP}
	return Plane{n, n.X * at}, r3.Vec{X: -cosT, Y: sinT}, r3.Vec{X: sinT * cosP, Y: cosT * cosP, Z: sinP}
}

// A slice of a bar is the oblique prism that its two cuts leave: face W / sin
// theta by h / sin phi (common practice, no source), thickness pitch sin theta
// sin phi, volume W h pitch.
func TestSliceOfABar(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		draw := func(name string, lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(rt, name) }
		w, h, pitch := draw("width", 30, 80), draw("height", 10, 35), draw("pitch", 3, 20)
		theta, phi := draw("theta", 20, 90), draw("phi", 20, 90)
		bar := Body{
			Column([4]r2.Vec{{}, {X: 700}, {X: 700, Y: w / 2}, {Y: w / 2}}, [4]float64{h, h, h, h}),
			Column([4]r2.Vec{{Y: w / 2}, {X: 700, Y: w / 2}, {X: 700, Y: w}, {Y: w}}, [4]float64{h, h, h, h}),
		}
		first, along, up := blade(theta, phi, 350)
		second, _, _ := blade(theta, phi, 350+pitch)
		volume := bar.Before(second).Minus(bar.Before(first)).Volume
		check := func(what string, got, want float64) {
			if !scalar.EqualWithinRel(got, want, 1e-6) {
				rt.Fatalf("%s %.6f, want %.6f", what, got, want)
			}
		}
		check("volume", volume, w*h*pitch)
		face := Outline(bar.Slab(second, second, along, up), 0.01)
		sinT, sinP := math.Sin(theta*math.Pi/180), math.Sin(phi*math.Pi/180)
		check("face", Area(face), w/sinT*h/sinP)
		thick := pitch * sinT * sinP
		shift := r2.Vec{X: r3.Dot(along, r3.Vec{X: -pitch}), Y: r3.Dot(up, r3.Vec{X: -pitch})}
		prism := prism{face, shift, thick}
		check("volume of the prism", prism.volume(), volume)
		check("outline", Area(Outline(bar.Slab(first, second, along, up), 0.01)), Area(prism.above()))
	})
}

// A notch between two parts stays a notch.
func TestOutlineOfNotch(t *testing.T) {
	parts := [][]r2.Vec{{{}, {X: 10}, {X: 10, Y: 5}, {Y: 10}}, {{X: 10}, {X: 20}, {X: 20, Y: 10}, {X: 10, Y: 5}}}
	near(t, "two slopes that meet low", Area(Outline(parts, 0.01)), 150, 1e-3)
	parts[0][2].Y, parts[1][3].Y = 12, 12
	near(t, "two slopes that meet high", Area(Outline(parts, 0.01)), 220, 1e-3)
}

// Both sides of a cut make the whole.
func TestBeforeAndBeyond(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		draw := func(name string, lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(rt, name) }
		var high [4]float64
		for i := range high {
			high[i] = draw("height", 0, 30)
		}
		b := Body{Column([4]r2.Vec{{}, {X: 60, Y: -3}, {X: 60, Y: 40}, {Y: 33}}, high)}
		c, _, _ := blade(draw("theta", 15, 90), draw("phi", 15, 90), draw("at", -40, 100))
		before, beyond := b.Before(c), b.Before(Plane{r3.Scale(-1, c.N), -c.D})
		if got, want := before.plus(1, beyond), b.Whole(); !scalar.EqualWithinAbsOrRel(got.Volume, want.Volume, 1e-6, 1e-9) || r3.Norm(r3.Sub(got.Moment, want.Moment)) > 1e-6*(1+r3.Norm(want.Moment)) {
			rt.Fatalf("both sides are %v, the whole %v", got, want)
		}
		if before.Volume < -1e-6 || beyond.Volume < -1e-6 {
			rt.Fatalf("a side of %v and one of %v", before, beyond)
		}
	})
}

// Sorting either way around an outline is sorting, whatever the points are.
func TestSortedByX(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		some := rapid.Custom(func(t *rapid.T) r2.Vec {
			return r2.Vec{X: float64(rapid.IntRange(-9, 9).Draw(t, "x")), Y: float64(rapid.IntRange(-3, 3).Draw(t, "y"))}
		})
		p := rapid.SliceOfN(some, 0, 40).Draw(t, "points")
		want := slices.Clone(p)
		slices.SortFunc(want, byX)
		if got := sortedByX(p); !slices.Equal(got, want) {
			t.Errorf("%v sorted is %v, want %v", p, got, want)
		}
	})
}

// The hull of an outline that does not cross itself is the same with and without
// sorting, wherever the outline begins and whichever way it goes.
func TestHullOfSimple(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		far := rapid.SliceOfN(rapid.Float64Range(1, 3), 3, 60).Draw(t, "distances")
		star := make([]r2.Vec, len(far))
		for i, f := range far {
			y, x := math.Sincos(2 * math.Pi * float64(i) / float64(len(far)))
			star[i] = r2.Vec{X: f * x, Y: f * y}
		}
		if rapid.Bool().Draw(t, "clockwise") {
			slices.Reverse(star)
		}
		got, want := HullOfSimple(star), Hull(star)
		first := slices.Index(got, want[0])
		if first < 0 || !slices.Equal(append(slices.Clone(got[first:]), got[:first]...), want) {
			t.Fatalf("hull of %v: %v, want %v", star, got, want)
		}
	})
}
