package shape_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/see/shape"
	"netagauge/internal/see/shapetest"
)

// sheared moves every point along x by its y times tan of the angle: sides along y
// then lean by that angle and those along x stay, so that the skew is known in
// closed form.
func sheared(o shape.Outline, deg float64) shape.Outline {
	out := make(shape.Outline, len(o))
	for i, p := range o {
		out[i] = r2.Vec{X: p.X + p.Y*math.Tan(deg*math.Pi/180), Y: p.Y}
	}
	return out
}

// The skew of sheared rectangles, sharp and with rounded corners, however they lie:
// the closed form.
func TestSkew(t *testing.T) {
	for _, want := range []float64{0, 3, 10, 25, 40} {
		for name, o := range map[string]shape.Outline{
			"sharp":   sheared(shapetest.Rectangle(80, 35), want),
			"rounded": sheared(shapetest.RoundedRectangle(80, 35, 4, 16), want),
			"mirror":  sheared(shapetest.RoundedRectangle(80, 35, 2, 16), -want),
			"short":   sheared(shapetest.RoundedRectangle(62, 30, 3, 16), want),
		} {
			for _, turn := range []float64{0, 33, 90, 201} {
				placed := shapetest.Placed(o, turn, r2.Vec{X: 150, Y: 90})
				got, ok := placed.Parallelogram(placed.LongAxis())
				if !ok || math.Abs(got.Skew-want) > 0.02 {
					t.Errorf("%s, sheared by %g° and turned by %g°: %+v, %v", name, want, turn, got, ok)
				}
			}
		}
	}
}

// Its sides are those of the parallelogram: an end 35 mm wide that leans by 30°
// is 35 / cos 30° long.
func TestSkewSides(t *testing.T) {
	o := sheared(shapetest.Rectangle(80, 35), 30)
	got, ok := o.Parallelogram(o.LongAxis())
	if !ok || math.Abs(got.Long-80) > 0.1 || math.Abs(got.End-35/math.Cos(math.Pi/6)) > 0.1 || got.Rough > 0.01 || got.Misfit > 0.002 {
		t.Errorf("%+v, %v", got, ok)
	}
	for _, deg := range []float64{30, -30} { // the sheared end goes tan along for 1 across, whichever way it lies
		for _, axis := range []float64{0, 180} {
			turned := shapetest.Placed(sheared(shapetest.Rectangle(80, 35), deg), axis, r2.Vec{})
			got, _ := turned.Parallelogram(r2.Vec{X: 1})
			if want := math.Tan(deg * math.Pi / 180); math.Abs(got.Lean-want) > 0.01 {
				t.Errorf("an end sheared by %g° leans by %g for each mm across, want %g", deg, got.Lean, want)
			}
		}
	}
}

// What tapers, is round or small has none.
func TestNoSkew(t *testing.T) {
	for name, o := range map[string]shape.Outline{
		"triangle": shapetest.Triangle(80, 40), "ellipse": shapetest.Ellipse(80, 35, 120), "disc": shapetest.Ellipse(40, 40, 120),
		"taper of 0.4": shapetest.Trapezoid(80, 44, 26), "small": shapetest.Rectangle(60, 12), "sheared taper": sheared(shapetest.Trapezoid(80, 44, 26), 20),
	} {
		if got, ok := o.Parallelogram(o.LongAxis()); ok {
			t.Errorf("%s has a skew: %+v", name, got)
		}
	}
	slight := shapetest.Trapezoid(80, 36, 34)
	if got, ok := slight.Parallelogram(slight.LongAxis()); !ok || got.Skew > 0.2 {
		t.Errorf("a trapezoid that hardly tapers: %+v, %v; want 0 by symmetry", got, ok)
	}
}

// An edge that trembles by 0.2 mm tells the skew to half a degree, and says how
// rough it is.
func TestSkewOfARoughEdge(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 11))
	for range 20 {
		var o shape.Outline
		for i, corners := 0, sheared(shapetest.RoundedRectangle(80, 35, 3, 16), 15); i < len(corners); i++ {
			d := r2.Sub(corners[(i+1)%len(corners)], corners[i])
			for k := range int(r2.Norm(d)) + 1 { // a point every mm
				o = append(o, r2.Add(corners[i], r2.Scale(float64(k)/float64(int(r2.Norm(d))+1), d)))
			}
		}
		for i := range o {
			o[i] = r2.Add(o[i], r2.Vec{X: 0.2 * rng.NormFloat64(), Y: 0.2 * rng.NormFloat64()})
		}
		got, ok := o.Parallelogram(o.LongAxis())
		if !ok || math.Abs(got.Skew-15) > 0.5 || got.Rough < 0.05 || got.Rough > 0.3 {
			t.Errorf("%+v, %v", got, ok)
		}
	}
}
