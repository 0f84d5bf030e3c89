package shape_test

import (
	"encoding/binary"
	"encoding/json"
	"errors"
	"math"
	"os"
	"slices"
	"testing"

	"github.com/peterstace/simplefeatures/geom"
	"gonum.org/v1/gonum/spatial/r2"
	"pgregory.net/rapid"

	"netagauge/internal/shape"
	"netagauge/internal/shapetest"
	"netagauge/testdata/photos"
)

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s is %.4f, want %.4f ± %g", what, got, want, tol)
	}
}

func measure(t testing.TB, o shape.Outline) shape.Measures {
	t.Helper()
	m, err := shape.Measure(o)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// Closed forms.
func TestClosedForms(t *testing.T) {
	// A slice cut with both angles: its length is its edge, not corner to corner.
	m := measure(t, shapetest.Parallelogram(80, 35, 20))
	near(t, "parallelogram length", m.Length, 80, 1e-9)
	near(t, "parallelogram width", m.Width, 35, 1e-9)
	near(t, "parallelogram overall length", m.OverallLength, 100, 1e-9)
	near(t, "parallelogram area", m.Area, 2800, 1e-9)
	near(t, "parallelogram end of profile", m.Profile[10], 35, 1e-9)

	near(t, "parallelogram taper", measure(t, shapetest.Parallelogram(80, 35, 0)).Taper, 0, 1e-9)

	m = measure(t, shapetest.Trapezoid(80, 40, 0.001))
	near(t, "triangle area", m.Area, 1600, 0.1)
	// The long axis lies along a slanted side, so the width is the height on it.
	near(t, "triangle overall width", m.OverallWidth, 2*m.Area/math.Hypot(80, 20), 0.01)

	m = measure(t, shapetest.Ellipse(80, 30, 2000))
	near(t, "ellipse area", m.Area, math.Pi/4*80*30, 0.01)
	near(t, "ellipse overall length", m.OverallLength, 80, 1e-3)
	near(t, "ellipse taper", m.Taper, 0, 1e-3)
	// The median chord over the middle half is the chord at an eighth of the
	// axis from the middle: √(1 - 1/16) of the full one, to a step of 51 chords.
	near(t, "ellipse width", m.Width, 30*math.Sqrt(1-1.0/16), 0.1)
}

// shapely 1.8 and OpenCV 4.6, by testdata/shape/make_reference.py.
func TestAgainstOtherLibraries(t *testing.T) {
	data, err := os.ReadFile("../../testdata/shape/reference.json")
	if err != nil {
		t.Fatal(err)
	}
	var refs []struct {
		Tray                                  string
		Slice                                 int
		Length, Width, Area, Perimeter, Taper float64
		OverallLength                         float64 `json:"overall_length"`
		OverallWidth                          float64 `json:"overall_width"`
		CVArea                                float64 `json:"cv_area"`
		CVPerimeter                           float64 `json:"cv_perimeter"`
		Centroid                              [2]float64
	}
	if err := json.Unmarshal(data, &refs); err != nil {
		t.Fatal(err)
	}
	for _, want := range refs {
		m := measure(t, sampleOutline(t, want.Tray, want.Slice))
		near(t, want.Tray+" length", m.Length, want.Length, 0.02)
		near(t, want.Tray+" width", m.Width, want.Width, 0.02)
		near(t, want.Tray+" overall length", m.OverallLength, want.OverallLength, 1e-3)
		near(t, want.Tray+" overall width", m.OverallWidth, want.OverallWidth, 1e-3)
		near(t, want.Tray+" area", m.Area, want.Area, 1e-3)
		near(t, want.Tray+" perimeter", m.Perimeter, want.Perimeter, 1e-3)
		near(t, want.Tray+" area by OpenCV", m.Area, want.CVArea, 0.05) // single precision there
		near(t, want.Tray+" perimeter by OpenCV", m.Perimeter, want.CVPerimeter, 0.05)
		near(t, want.Tray+" taper", m.Taper, want.Taper, 0.002)
		near(t, want.Tray+" centroid x", m.Centroid.X, want.Centroid[0], 1e-3)
	}
}

func sampleOutline(t testing.TB, tray string, i int) shape.Outline {
	t.Helper()
	data, err := photos.Files.ReadFile(tray + ".truth.json")
	if err != nil {
		t.Fatal(err)
	}
	var tr struct {
		Slices []struct {
			Outline [][2]float64 `json:"outline_mm"`
		} `json:"slices"`
	}
	if err := json.Unmarshal(data, &tr); err != nil {
		t.Fatal(err)
	}
	var o shape.Outline
	for _, p := range tr.Slices[i].Outline {
		o = append(o, r2.Vec{X: p[0], Y: p[1]})
	}
	return o
}

// rice is the default footprint as a polygon for the independent clipper.
func rice(at shape.Placement, f shape.Footprint) geom.Geometry {
	var xy []float64
	s, c := math.Sincos(at.AngleDeg * math.Pi / 180)
	add := func(x, y float64) { xy = append(xy, at.Centre.X+c*x-s*y, at.Centre.Y+s*x+c*y) }
	for q, sign := range [4][2]float64{{1, 1}, {-1, 1}, {-1, -1}, {1, -1}} {
		for k := range 33 {
			sa, ca := math.Sincos(math.Pi / 2 * (float64(q) + float64(k)/32))
			add(sign[0]*(f.Length/2-f.CornerRadius)+f.CornerRadius*ca, sign[1]*(f.Width/2-f.CornerRadius)+f.CornerRadius*sa)
		}
	}
	return polygon(append(xy, xy[0], xy[1]))
}

func polygon(xy []float64) geom.Geometry {
	return geom.NewPolygon([]geom.LineString{geom.NewLineString(geom.NewSequence(xy, geom.DimXY))}).AsGeometry()
}

// The share reported at the placement reported is what a polygon clipper finds
// there, and a slice that is large enough covers all.
func TestCoverAgainstClipper(t *testing.T) {
	f := shape.Footprint{Length: 65, Width: 30, CornerRadius: 14}
	for i := range 8 {
		o := sampleOutline(t, "tray-triangles", i)
		share, at := shape.Cover(o, measure(t, o), f)
		var xy []float64
		for _, p := range append(slices.Clone(o), o[0]) {
			xy = append(xy, p.X, p.Y)
		}
		inter, err := geom.Intersection(polygon(xy), rice(at, f))
		if err != nil {
			t.Fatal(err)
		}
		near(t, "cover", share, inter.Area()/rice(at, f).Area(), 0.003)
	}
	o := shapetest.Parallelogram(80, 35, 0)
	if share, _ := shape.Cover(o, measure(t, o), f); share < 0.9999 {
		t.Errorf("an 80 × 35 mm slice covers %.4f of the rice", share)
	}
}

// Measures follow the outline, wherever and however it lies.
func TestInvariance(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		base := sampleOutline(t, "tray-card", rapid.IntRange(0, 4).Draw(rt, "slice"))
		want := measure(t, base)
		o := shapetest.Placed(base, rapid.Float64Range(-180, 180).Draw(rt, "turn"), r2.Vec{X: rapid.Float64Range(-500, 500).Draw(rt, "x"), Y: 7})
		if rapid.Bool().Draw(rt, "mirror") {
			for i := range o {
				o[i].X = -o[i].X
			}
		}
		if rapid.Bool().Draw(rt, "reverse") {
			slices.Reverse(o)
		}
		k := rapid.IntRange(0, len(o)-1).Draw(rt, "start")
		o = append(slices.Clone(o[k:]), o[:k]...)
		scale := rapid.SampledFrom([]float64{1, 2}).Draw(rt, "scale")
		for i := range o {
			o[i] = r2.Scale(scale, o[i])
		}
		got := measure(t, o)
		for what, v := range map[string][2]float64{
			"length": {got.Length, scale * want.Length}, "width": {got.Width, scale * want.Width},
			"area": {got.Area, scale * scale * want.Area}, "perimeter": {got.Perimeter, scale * want.Perimeter},
			"taper": {got.Taper, want.Taper},
		} {
			if math.Abs(v[0]-v[1]) > 1e-3*math.Max(1, v[1]) {
				rt.Fatalf("%s is %.5f, want %.5f", what, v[0], v[1])
			}
		}
	})
}

func TestRefused(t *testing.T) {
	square := shape.Outline{{}, {X: 4}, {X: 4, Y: 4}, {Y: 4}}
	for name, c := range map[string]struct {
		o    shape.Outline
		want error
	}{
		"nothing":     {nil, shape.ErrTooFew},
		"two points":  {shape.Outline{{}, {X: 1}}, shape.ErrTooFew},
		"line":        {shape.Outline{{}, {X: 1}, {X: 2}}, shape.ErrNoArea},
		"one place":   {shape.Outline{{X: 1}, {X: 1}, {X: 1}}, shape.ErrNoArea},
		"NaN":         {shape.Outline{{}, {X: 1}, {X: math.NaN(), Y: 1}}, shape.ErrNotFinite},
		"infinite":    {shape.Outline{{}, {X: 1}, {X: math.Inf(-1), Y: 1}}, shape.ErrNotFinite},
		"bow tie":     {shape.Outline{{}, {X: 4, Y: 4}, {X: 4}, {Y: 3}}, shape.ErrCrossing},
		"on a point":  {shape.Outline{{}, {X: 1, Y: 1}, {X: 3, Y: 3}, {X: 3}, {X: 1, Y: 1}, {Y: 2}}, shape.ErrCrossing},
		"on an edge":  {shape.Outline{{}, {X: 30}, {X: 30, Y: 10}, {X: 15, Y: 10}, {X: 10}, {X: 5, Y: -10}, {Y: -10}}, shape.ErrCrossing},
		"twice round": {append(slices.Clone(square), square...), shape.ErrCrossing},
		"spike":       {shape.Outline{{}, {X: 4}, {X: 9}, {X: 4}, {X: 4, Y: 4}, {Y: 4}}, shape.ErrCrossing},
	} {
		if _, err := shape.Measure(c.o); !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v", name, err, c.want)
		}
	}
	closed := append(slices.Clone(square), square[3], square[0])
	if m, err := shape.Measure(closed); err != nil || m.Area != 16 {
		t.Errorf("a repeated point: area %g, %v; want 16, as without it", m.Area, err)
	}
}

// A triangle with nearly tied directions says so.
func TestDoubt(t *testing.T) {
	o := shapetest.Parallelogram(40, 40, 0)
	if l, _ := o.Doubt(measure(t, o), 0.2); l > 1e-6 {
		t.Errorf("a square's length is in doubt by %.3f mm, both ways measure the same", l)
	}
	o = shapetest.Parallelogram(80, 35, 10)
	if l, w := o.Doubt(measure(t, o), 0.2); l != 0 || w != 0 {
		t.Errorf("a plain slice is in doubt by %.2f, %.2f mm", l, w)
	}
	tri := shape.Outline{{}, {X: 60}, {X: 30, Y: 52.1}} // nearly equilateral, sides 60, 60.1, 60.1
	if l, _ := tri.Doubt(measure(t, tri), 0.2); l == 0 {
		t.Error("a triangle with three nearly equal heights is not in doubt")
	}
}

func FuzzMeasure(f *testing.F) {
	f.Add([]byte{0, 0, 0, 0, 40, 0, 0, 0, 40, 0, 20, 0})
	f.Fuzz(func(t *testing.T, data []byte) {
		var o shape.Outline
		for ; len(data) >= 4 && len(o) < 300; data = data[4:] {
			x, y := int16(binary.LittleEndian.Uint16(data)), int16(binary.LittleEndian.Uint16(data[2:]))
			o = append(o, r2.Vec{X: float64(x) / 16, Y: float64(y) / 16})
		}
		m, err := shape.Measure(o)
		if err != nil {
			return
		}
		share, _ := shape.Cover(o, m, shape.Footprint{Length: 65, Width: 30, CornerRadius: 14})
		for _, v := range []float64{m.Length, m.Width, m.Area, m.Perimeter, m.Taper, share, m.Profile[3]} {
			if !(v >= 0) || math.IsInf(v, 0) {
				t.Fatalf("outline %v measures %+v, cover %g", o, m, share)
			}
		}
		if share > 1 || m.Length > m.OverallLength*(1+1e-9) && m.OverallLength > 0 && m.Length > 1e-6 && len(o.Hull()) == len(o) {
			t.Fatalf("outline %v: cover %g, length %g of %g", o, share, m.Length, m.OverallLength)
		}
	})
}

func BenchmarkMeasure(b *testing.B) {
	o := sampleOutline(b, "tray-triangles", 0)
	for b.Loop() {
		if _, err := shape.Measure(o); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkCover(b *testing.B) {
	o := sampleOutline(b, "tray-triangles", 2)
	m := measure(b, o)
	for b.Loop() {
		shape.Cover(o, m, shape.Footprint{Length: 65, Width: 30, CornerRadius: 14})
	}
}
