package shape_test

import (
	"math"
	"slices"
	"testing"

	"github.com/peterstace/simplefeatures/geom"
	"gonum.org/v1/gonum/spatial/r2"
	"pgregory.net/rapid"

	"netagauge/internal/see/shape"
	"netagauge/internal/see/shapetest"
)

// defaultRice is our setting, no source.
var defaultRice = shape.Footprint{Length: 65, Width: 30, CornerRadius: 14}

// footprint is the rice where it lies, as a polygon.
func footprint(f shape.Footprint, at shape.Placement) shape.Outline {
	return shapetest.Placed(shapetest.RoundedRectangle(f.Length, f.Width, f.CornerRadius, 64), at.AngleDeg, at.Centre)
}

// polygon is an outline for the independent clipper.
func polygon(o shape.Outline) geom.Geometry {
	var xy []float64
	for _, p := range append(slices.Clone(o), o[0]) {
		xy = append(xy, p.X, p.Y)
	}
	return geom.NewPolygon([]geom.LineString{geom.NewLineString(geom.NewSequence(xy, geom.DimXY))}).AsGeometry()
}

// clipped is the share of the rice inside the outline by a polygon clipper.
func clipped(t testing.TB, o shape.Outline, f shape.Footprint, at shape.Placement) float64 {
	t.Helper()
	rice := polygon(footprint(f, at))
	inside, err := geom.Intersection(polygon(o), rice)
	if err != nil {
		t.Fatal(err)
	}
	return inside.Area() / rice.Area()
}

// The share reported at the placement reported is what a polygon clipper finds
// there.
func TestCoverAgainstClipper(t *testing.T) {
	for i := range 8 {
		o := sampleOutline(t, "tray-triangles", i)
		share, at := shape.Cover(o, measure(t, o), defaultRice)
		near(t, "cover", share, clipped(t, o, defaultRice, at), 0.001)
	}
}

// What is asked of the share has the clipper's answer, a hundredth to either side
// of it.
func TestCovers(t *testing.T) {
	for i := range 8 {
		o := sampleOutline(t, "tray-triangles", i)
		m := measure(t, o)
		_, at := shape.Cover(o, m, defaultRice)
		share := clipped(t, o, defaultRice, at)
		less, more := shape.Covers(o, m, defaultRice, share-0.01), shape.Covers(o, m, defaultRice, share+0.01)
		if !less || more {
			t.Errorf("slice %d covers %.3f of the rice; a hundredth less: %v, more: %v", i, share, less, more)
		}
	}
}

// A clipper finds no place near the one reported, nor further off, that covers
// more.
func TestCoverIsGreatest(t *testing.T) {
	o := sampleOutline(t, "tray-triangles", 4) // a share of 0.84
	m := measure(t, o)
	share, best := shape.Cover(o, m, defaultRice)
	axis := math.Atan2(m.Axis.Y, m.Axis.X) * 180 / math.Pi
	rapid.Check(t, func(rt *rapid.T) {
		far := rapid.SampledFrom([]float64{1, 8}).Draw(rt, "far")
		draw := func(what string, limit float64) float64 {
			return far * rapid.Float64Range(-limit, limit).Draw(rt, what)
		}
		at := shape.Placement{
			Centre:   r2.Add(best.Centre, r2.Vec{X: draw("x", 2), Y: draw("y", 2)}),
			AngleDeg: max(axis-20, min(axis+20, best.AngleDeg+draw("turn", 4))),
		}
		if v := clipped(t, o, defaultRice, at); v > share+0.001 {
			rt.Fatalf("%.4f is covered at %+v, more than the greatest share %.4f", v, at, share)
		}
	})
}

// Closed forms: what lies wholly inside the rice covers its own area of it; what
// holds the rice covers it all, in the middle; the rice's own shape does so too.
func TestCoverClosedForms(t *testing.T) {
	rice := 65*30 - (4-math.Pi)*14*14
	for name, c := range map[string]struct {
		o    shape.Outline
		want float64
	}{
		"small ellipse":   {shapetest.Ellipse(50, 20, 720), math.Pi / 4 * 50 * 20 / rice},
		"short rectangle": {shapetest.Rectangle(30, 20), 30 * 20 / rice},
		"house slice":     {shapetest.Rectangle(80, 35), 1}, // common practice, no source
		"the rice itself": {shapetest.RoundedRectangle(65, 30, 14, 64), 1},
		"a great slab":    {shapetest.Rectangle(400, 200), 1},
	} {
		o := shapetest.Placed(c.o, 130, r2.Vec{X: 300, Y: 200})
		share, _ := shape.Cover(o, measure(t, o), defaultRice)
		near(t, name+": cover", share, c.want, 0.002)
	}
	o := shapetest.Rectangle(80, 35)
	if _, at := shape.Cover(o, measure(t, o), defaultRice); at != (shape.Placement{}) {
		t.Errorf("on a plain slice the rice lies at %+v, want the middle", at)
	}
}

// The rice may lie off the long axis by 20°, no more: a long thin one that would
// fit a square from corner to corner stops there, bare at its ends.
func TestCoverTurnIsBounded(t *testing.T) {
	o := shapetest.Rectangle(46, 46)
	m := measure(t, o)
	thin := shape.Footprint{Length: 56, Width: 6, CornerRadius: 3}
	share, at := shape.Cover(o, m, thin)
	axis := math.Atan2(m.Axis.Y, m.Axis.X) * 180 / math.Pi
	near(t, "turn off the long axis", math.Abs(at.AngleDeg-axis), 20, 0.1)
	if corner := clipped(t, o, thin, shape.Placement{AngleDeg: axis + 45}); !(share < 0.95 && corner > 0.999) {
		t.Errorf("covers %.3f within 20° and %.3f from corner to corner, want less than 0.95 and 1", share, corner)
	}
}

func BenchmarkCover(b *testing.B) {
	for _, c := range []struct {
		name string
		o    shape.Outline
	}{
		{"whole", sampleOutline(b, "tray-triangles", 1)},
		{"bare", sampleOutline(b, "tray-triangles", 2)},
		{"bare, 900 points", shapetest.Ellipse(70, 28, 900)},
	} {
		m := measure(b, c.o)
		b.Run(c.name, func(b *testing.B) {
			for b.Loop() {
				shape.Cover(c.o, m, defaultRice)
			}
		})
	}
}
