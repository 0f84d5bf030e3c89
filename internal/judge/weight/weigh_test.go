package weight

import (
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
	"pgregory.net/rapid"

	"netagauge/internal/core/fatal"
	"netagauge/internal/core/piece"
	"netagauge/internal/core/uncertainty"
	"netagauge/internal/see/shape"
)

// plainSlice has upright walls and an area known to 1 %.
func plainSlice(area float64) Slice {
	return Slice{Area: uncertainty.Value{X: area, U: area / 100}, Extent: 80}
}

func thicknessOf(x, u float64) Thickness {
	return Thickness{uncertainty.Value{X: x, U: u}, FromEntered, "measure", false}
}

func densityOf(x, u float64) Density { return Density{Value: uncertainty.Value{X: x, U: u}} }

// 23.8 cm² × 4.8 mm × 1.055 g/cm³ = 12.05 g. Relative variances add (GUM 5.1.6):
// with 2, 10 and 1 % U = 2·12.05·√(0.02² + 0.10² + 0.01²) = 2.47 g; worked by hand.
func TestWeighByHand(t *testing.T) {
	for _, c := range []struct{ a, t, d, u float64 }{{0.02, 0.10, 0.01, 1.235}, {0.02, 0.05, 0.01, 0.660}, {0.01, 0.02, 0.005, 0.276}} {
		s := Slice{Area: uncertainty.Value{X: 2380, U: 2380 * c.a}, Extent: 80}
		w, err := Weigh(s, thicknessOf(4.8, 4.8*c.t), densityOf(1.055, 1.055*c.d))
		fatal.If(t, err)
		near(t, "weight", w.X, 12.05, 0.005)
		near(t, "u", w.U, c.u, 0.001)
		if w.Budget[0].Source != sourceThickness {
			t.Errorf("the budget starts with %q, want thickness", w.Budget[0].Source)
		}
	}
}

// The print scale is part of the area's u: shown by itself, it must not make the
// interval any wider.
func TestPrintScaleIsCountedOnce(t *testing.T) {
	s := plainSlice(2700)
	whole, err := Weigh(s, thicknessOf(4, 0.03), densityOf(1.05, 0.01))
	fatal.If(t, err)
	s.ScaleU = 0.003
	split, err := Weigh(s, thicknessOf(4, 0.03), densityOf(1.05, 0.01))
	fatal.If(t, err)
	near(t, "u", split.U, whole.U, 1e-6)
	for _, b := range split.Budget {
		if b.Source == sourceScale {
			near(t, "contribution of the print scale, g", b.U, 2*2*0.003*split.X, 1e-4)
		}
	}
}

// A parallelogram's face swept by the run of its wall, measured as a polygon:
// the outline's area less the strip is the face again.
func TestFaceBehindLeaningWalls(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		l, w := rapid.Float64Range(60, 100).Draw(rt, "length"), rapid.Float64Range(25, 45).Draw(rt, "width")
		skew := rapid.Float64Range(-20, 20).Draw(rt, "skew")
		phi := rapid.Float64Range(30, 90).Draw(rt, "phi")
		thick := rapid.Float64Range(3, 6).Draw(rt, "thickness")
		top := shape.Outline{{X: 0, Y: 0}, {X: l, Y: 0}, {X: l + skew, Y: w}, {X: skew, Y: w}}
		run := r2.Vec{Y: thick / math.Tan(phi*math.Pi/180)}
		both := append(shape.Outline{}, top...)
		for _, p := range top {
			both = append(both, r2.Add(p, run))
		}
		outline := both.Hull()
		lean, err := LayAngle(phi)
		fatal.If(rt, err)
		b := outline.Bounds() // the run lies along y, so the extent across it along x
		s := Slice{Area: uncertainty.Value{X: outline.Area()}, Extent: b.Max.X - b.Min.X, Lean: Lean{Value: lean}}
		got, err := s.face(thick)
		fatal.If(rt, err)
		if math.Abs(got-top.Area()) > 1e-6 {
			rt.Errorf("face %.3f mm², the polygon has %.3f", got, top.Area())
		}
	})
}

func TestSeenLeanIsInTheBudget(t *testing.T) {
	s := plainSlice(2700)
	s.Lean = SeenLean(0.5, 0.4, 4, piece.Seen{})
	w, err := Weigh(s, thicknessOf(4, 0.01), densityOf(1.05, 0.001))
	fatal.If(t, err)
	// A wall that runs out by 0.5 mm takes a strip of 80 × 0.5 mm off the
	// outline; 0.4 mm of doubt are 80 × 0.4 mm of it.
	near(t, "weight of the face", w.X, (2700-40)*4*1.05/1000, 1e-9)
	for _, b := range w.Budget {
		if b.Source == sourceLean {
			near(t, "contribution of the lean, g", b.U, 2*32*4*1.05/1000, 0.002)
		}
	}
}

func TestLayAngle(t *testing.T) {
	up, err := LayAngle(90)
	if err != nil || up.X != 0 {
		t.Errorf("an upright knife leans %g (%v), want none", up.X, err)
	}
	half, err := LayAngle(45)
	fatal.If(t, err)
	near(t, "cot 45°", half.X, 1, 1e-12)
	near(t, "u at 45°: 2° in radians × 2", half.U, 0.0698, 1e-4)
	for _, bad := range []float64{0, -30, 14, 91, math.NaN(), math.Inf(1)} {
		if l, err := LayAngle(bad); err == nil {
			t.Errorf("a lay angle of %g is taken: %+v", bad, l)
		}
	}
}

func TestWeighRefuses(t *testing.T) {
	ok := plainSlice(2700)
	flat := ok
	flat.Lean.X = 9
	for name, c := range map[string]struct {
		s    Slice
		t    float64
		want string
	}{
		"no area":      {Slice{Extent: 80}, 4, "without area"},
		"nan area":     {Slice{Area: uncertainty.Value{X: math.NaN()}, Extent: 80}, 4, "without area"},
		"no extent":    {Slice{Area: ok.Area}, 4, "without area"},
		"thin":         {ok, 0.2, "not the thickness"},
		"thick":        {ok, 80, "not the thickness"},
		"nan":          {ok, math.NaN(), "not the thickness"},
		"leaves none":  {flat, 4, "leave no face"},
		"infinite one": {Slice{Area: uncertainty.Value{X: math.Inf(1)}, Extent: 80}, 4, "without area"},
	} {
		w, err := Weigh(c.s, thicknessOf(c.t, 0.1), densityOf(1.05, 0.01))
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: weight %.2f g, error %v, want one that says %q", name, w.X, err, c.want)
		}
	}
}

// Twice the area at the same thickness is twice the weight, and so is its
// interval.
func TestWeightScalesWithArea(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		a := rapid.Float64Range(500, 5000).Draw(rt, "area")
		k := rapid.Float64Range(0.5, 2).Draw(rt, "factor")
		thick := thicknessOf(rapid.Float64Range(1, 8).Draw(rt, "t"), 0.1)
		one, err1 := Weigh(plainSlice(a), thick, densityOf(1.05, 0.01))
		other, err2 := Weigh(plainSlice(k*a), thick, densityOf(1.05, 0.01))
		if err1 != nil || err2 != nil {
			rt.Fatal(err1, err2)
		}
		if math.Abs(other.X-k*one.X) > 1e-9*other.X || math.Abs(other.U-k*one.U) > 1e-9*other.U {
			rt.Errorf("%g times the area: %g ± %g g became %g ± %g g", k, one.X, one.U, other.X, other.U)
		}
	})
}

func TestParseLayAngle(t *testing.T) {
	a, err := ParseLayAngle("1:30,3:90")
	fatal.If(t, err)
	if l, ok := a.Of(1); !ok || math.Abs(l.X-math.Sqrt(3)) > 1e-9 { // cot 30° = √3
		t.Errorf("piece 1 leans %+v, want cot 30°", l)
	}
	if l, ok := a.Of(2); ok {
		t.Errorf("nothing was told of piece 2, and it leans %+v", l)
	}
	if err := a.Check([]Piece{{1, Slice{}}}); err == nil || !strings.Contains(err.Error(), "slice 3") {
		t.Errorf("piece 3 is not on the tray, and the error is %v", err)
	}
	tray, err := ParseLayAngle("45")
	if l, ok := tray.Of(9); err != nil || !ok || math.Abs(l.X-1) > 1e-9 {
		t.Errorf("the tray leans %+v (%v), want cot 45°", l, err)
	}
	for _, bad := range []string{"", "0", "-45", "91", "14", "NaN", "1:30,1:40", "1:0", "45°", "1:30,45"} {
		if a, err := ParseLayAngle(bad); err == nil {
			t.Errorf("lay angle %q is taken: %+v", bad, a)
		}
	}
}

// A face of a tenth of the outline is the least that walls may leave: of 2800 mm²
// with a strip 80 mm long at 4 mm that is a cotangent of 2520 / 320 = 7.875.
func TestLeastFace(t *testing.T) {
	for lean, refused := range map[float64]bool{7.8: false, 7.95: true} {
		s := Slice{Area: uncertainty.Value{X: 2800}, Extent: 80}
		s.Lean.X = lean
		if _, err := s.face(4); (err != nil) != refused {
			t.Errorf("walls of cotangent %g: %v", lean, err)
		}
	}
}
