package shape_test

import (
	"encoding/binary"
	"errors"
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
	"pgregory.net/rapid"

	"netagauge/internal/see/shape"
	"netagauge/internal/see/shapetest"
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
		if rapid.Bool().Draw(rt, "points between") {
			o = halved(o)
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
		foot := shape.Footprint{Length: 90 * scale, Width: 36 * scale, CornerRadius: 14 * scale}
		if g, w := coverOf(o, got, foot), coverOf(base, want, shape.Footprint{Length: 90, Width: 36, CornerRadius: 14}); math.Abs(g-w) > 0.003 {
			rt.Fatalf("cover is %.5f, want %.5f", g, w)
		}
	})
}

func coverOf(o shape.Outline, m shape.Measures, f shape.Footprint) float64 {
	share, _ := shape.Cover(o, m, f)
	return share
}

// halved is the same outline with a point more in the middle of every edge.
func halved(o shape.Outline) shape.Outline {
	var out shape.Outline
	for i, p := range o {
		out = append(out, p, r2.Scale(0.5, r2.Add(p, o[(i+1)%len(o)])))
	}
	return out
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
		"notch":       {shape.Outline{{}, {X: 2}, {X: 2, Y: 2}, {X: 2}, {X: 4}, {X: 4, Y: 4}, {Y: 4}}, shape.ErrCrossing},
		"long way":    {shape.Outline{{}, {X: 4}, {X: -2}, {X: -2, Y: 4}}, shape.ErrCrossing},
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
		share, _ := shape.Cover(o, m, defaultRice)
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
