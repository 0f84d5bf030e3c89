package coach

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/floats/scalar"
	"pgregory.net/rapid"
)

// Closed forms of L = W / sin(theta) and w = h / sin(phi), common practice, no
// source: worked by hand from the sine.
func TestThetaClosedForms(t *testing.T) {
	for _, c := range []struct{ width, want float64 }{
		{30, 22.0}, {40, 30.0}, {50, 38.7}, {60, 48.6}, {70, 61.0}, {80, 90.0}, {56.6, 45.0},
	} {
		got, ok := Theta(80, c.width)
		if !ok || !scalar.EqualWithinAbs(got, c.want, 0.05) {
			t.Errorf("Theta(80, %v) = %.2f, %v; want %v", c.width, got, ok, c.want)
		}
	}
}

func TestPhiClosedForms(t *testing.T) {
	for _, c := range []struct{ height, want float64 }{
		{10, 16.6}, {12, 20.1}, {15, 25.4}, {18, 30.9}, {20, 34.8}, {25, 45.6}, {30, 59.0}, {35, 90.0},
	} {
		got, ok := Phi(35, c.height)
		if !ok || !scalar.EqualWithinAbs(got, c.want, 0.05) {
			t.Errorf("Phi(35, %v) = %.2f, %v; want %v", c.height, got, ok, c.want)
		}
	}
}

func TestLengthClosedForms(t *testing.T) {
	for theta, want := range map[float64]float64{15: 3.864, 19: 3.072, 30: 2, 45: 1.414, 60: 1.155, 75: 1.035, 90: 1} {
		if got := Length(1, theta); !scalar.EqualWithinAbs(got, want, 0.0005) {
			t.Errorf("Length(1, %v) = %.4f, want %v", theta, got, want)
		}
	}
	if got := Width(20, 90); got != 20 {
		t.Errorf("a 20 mm block cut upright gives %v mm, want 20", got)
	}
}

// No angle is an answer, never the nearest angle.
func TestNone(t *testing.T) {
	for _, c := range []struct {
		name string
		ok   bool
	}{
		{"width 90 for length 80", second(Theta(80, 90))},
		{"height 36 for width 35", second(Phi(35, 36))},
		{"zero length", second(Theta(0, 50))},
		{"negative width", second(Theta(80, -50))},
		{"NaN", second(Theta(math.NaN(), 50))},
		{"infinite", second(Phi(math.Inf(1), 20))},
		{"shorter than at 90", second(Turned(90, 90, 80))},
	} {
		if c.ok {
			t.Errorf("%s: an angle was given, want none", c.name)
		}
	}
	for _, deg := range []float64{0, -1, 91, math.NaN()} {
		if got := Length(50, deg); !math.IsNaN(got) {
			t.Errorf("Length(50, %v) = %v, want NaN", deg, got)
		}
	}
}

func second(_ float64, ok bool) bool { return ok }

// The angle asked for gives the size asked for, and Turned agrees with the
// absolute form whatever the angle used.
func TestAnglesRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := rapid.Float64Range(20, 120).Draw(t, "length")
		width := rapid.Float64Range(5, 120).Draw(t, "width")
		used := rapid.Float64Range(5, 90).Draw(t, "used")
		deg, ok := Theta(want, width)
		if ok != (width <= want) {
			t.Fatalf("Theta(%v, %v) ok = %v", want, width, ok)
		}
		if ok && !scalar.EqualWithinAbs(Length(width, deg), want, 1e-9) {
			t.Fatalf("Length(%v, %v) = %v, want %v", width, deg, Length(width, deg), want)
		}
		turned, okTurned := Turned(used, Length(width, used), want)
		if math.Abs(width-want) > 1e-9 && (okTurned != ok || ok && !scalar.EqualWithinAbs(turned, deg, 1e-3)) {
			t.Fatalf("Turned = %v, %v; Theta = %v, %v", turned, okTurned, deg, ok)
		}
	})
}

func TestPitch(t *testing.T) {
	// 4 mm at 30 and 30 degrees: 4 / (0.5 · 0.5) = 16.
	if got := Pitch(4, 30, 30); !scalar.EqualWithinAbs(got, 16, 1e-9) {
		t.Errorf("Pitch(4, 30, 30) = %v, want 16", got)
	}
}

// A slice lies wider than its face by the strip of wall t / tan(phi).
func TestOutlineWidth(t *testing.T) {
	for _, c := range []struct{ h, thick, phi, want float64 }{
		{20, 4, 90, 20},                  // upright
		{20, 4, 30, 40 + 4*1.732051},     // 1/sin 30 = 2, 1/tan 30 = √3
		{24, 4.2, 45, 24*1.414214 + 4.2}, // 1/sin 45 = √2, 1/tan 45 = 1
	} {
		if got := OutlineWidth(c.h, c.thick, c.phi); !scalar.EqualWithinAbs(got, c.want, 1e-4) {
			t.Errorf("OutlineWidth(%v, %v, %v) = %.4f, want %.4f", c.h, c.thick, c.phi, got, c.want)
		}
	}
}

func TestLayGivesTheWidth(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		width := rapid.Float64Range(15, 60).Draw(t, "width")
		height := rapid.Float64Range(5, 60).Draw(t, "height")
		thick := rapid.Float64Range(0, 10).Draw(t, "thickness")
		deg, ok := Lay(width, thick, height)
		if ok != (height <= width) {
			t.Fatalf("Lay(%v, %v, %v) ok = %v", width, thick, height, ok)
		}
		if !ok {
			return
		}
		if got := OutlineWidth(height, thick, deg); !scalar.EqualWithinAbs(got, width, 1e-9) {
			t.Fatalf("%v mm at %v° lies %v mm wide, want %v", height, deg, got, width)
		}
		used := rapid.Float64Range(20, 90).Draw(t, "used")
		again, ok := Relaid(used, OutlineWidth(height, thick, used), width, thick)
		if math.Abs(width-height) > 1e-9 && (!ok || !scalar.EqualWithinAbs(again, deg, 1e-6)) {
			t.Fatalf("Relaid = %v, %v; Lay = %v", again, ok, deg)
		}
		if plain, _ := Phi(width, height); thick == 0 && !scalar.EqualWithinAbs(plain, deg, 1e-9) {
			t.Fatalf("without a wall Lay = %v, Phi = %v", deg, plain)
		}
	})
}
