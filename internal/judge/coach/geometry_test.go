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
		got, ok := Angle(80, 0, c.width)
		if !ok || !scalar.EqualWithinAbs(got, c.want, 0.05) {
			t.Errorf("Angle(80, 0, %v) = %.2f, %v; want %v", c.width, got, ok, c.want)
		}
	}
}

func TestPhiClosedForms(t *testing.T) {
	for _, c := range []struct{ height, want float64 }{
		{10, 16.6}, {12, 20.1}, {15, 25.4}, {18, 30.9}, {20, 34.8}, {25, 45.6}, {30, 59.0}, {35, 90.0},
	} {
		got, ok := Angle(35, 0, c.height)
		if !ok || !scalar.EqualWithinAbs(got, c.want, 0.05) {
			t.Errorf("Angle(35, 0, %v) = %.2f, %v; want %v", c.height, got, ok, c.want)
		}
	}
}

func TestLengthClosedForms(t *testing.T) {
	for theta, size := range map[float64]float64{15: 3.8637, 19: 3.0716, 30: 2, 45: 1.4142, 60: 1.1547, 75: 1.0353} {
		if got, ok := Angle(size, 0, 1); !ok || !scalar.EqualWithinAbs(got, theta, 0.01) {
			t.Errorf("Angle(%v, 0, 1) = %.4f, %v; want %v", size, got, ok, theta)
		}
	}
	if got, ok := Angle(20, 0, 20); !ok || got != 90 {
		t.Errorf("a 20 mm block for 20 mm is cut at %v, want 90", got)
	}
}

// No angle is an answer, never the nearest angle.
func TestNone(t *testing.T) {
	for _, c := range []struct {
		name string
		ok   bool
	}{
		{"width 90 for length 80", second(Angle(80, 0, 90))},
		{"height 36 for width 35", second(Angle(35, 0, 36))},
		{"zero length", second(Angle(0, 0, 50))},
		{"negative width", second(Angle(80, 0, -50))},
		{"NaN", second(Angle(math.NaN(), 0, 50))},
		{"infinite", second(Angle(math.Inf(1), 0, 20))},
		{"shorter than at 90", second(Turned(90, 90, 80, 0))},
	} {
		if c.ok {
			t.Errorf("%s: an angle was given, want none", c.name)
		}
	}
}

func second(_ float64, ok bool) bool { return ok }

func TestPitch(t *testing.T) {
	// 4 mm at 30 and 30 degrees: 4 / (0.5 · 0.5) = 16.
	if got := Pitch(4, 30, 30); !scalar.EqualWithinAbs(got, 16, 1e-9) {
		t.Errorf("Pitch(4, 30, 30) = %v, want 16", got)
	}
}

// lies is how long or wide, mm, a slice lies that was cut at an angle from a block:
// its face, and beside it the strip of wall t / tan(phi).
func lies(block, wall, deg float64) float64 {
	rad := deg * math.Pi / 180
	return block/math.Sin(rad) + wall/math.Tan(rad)
}

func TestAngleOfAStripOfWall(t *testing.T) {
	for _, c := range []struct{ block, wall, deg, lies float64 }{
		{20, 4, 90, 20},                  // upright
		{20, 4, 30, 40 + 4*1.732051},     // 1/sin 30 = 2, 1/tan 30 = √3
		{24, 4.2, 45, 24*1.414214 + 4.2}, // 1/sin 45 = √2, 1/tan 45 = 1
		{54, EndWall(5, 30), 45, 54*1.414214 + 2.5},
	} {
		if got, ok := Angle(c.lies, c.wall, c.block); !ok || !scalar.EqualWithinAbs(got, c.deg, 1e-4) {
			t.Errorf("Angle(%v, %v, %v) = %.4f, %v; want %v", c.lies, c.wall, c.block, got, ok, c.deg)
		}
	}
}

// The angle asked for gives the size asked for, and Turned agrees with it
// whatever the angle used.
func TestAngleGivesTheSize(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := rapid.Float64Range(15, 120).Draw(t, "size")
		block := rapid.Float64Range(5, 120).Draw(t, "block")
		wall := rapid.Float64Range(0, 10).Draw(t, "wall")
		deg, ok := Angle(want, wall, block)
		if ok != (block <= want) {
			t.Fatalf("Angle(%v, %v, %v) ok = %v", want, wall, block, ok)
		}
		if !ok {
			return
		}
		if got := lies(block, wall, deg); !scalar.EqualWithinAbs(got, want, 1e-9) {
			t.Fatalf("%v mm at %v° lies %v mm, want %v", block, deg, got, want)
		}
		used := rapid.Float64Range(20, 90).Draw(t, "used")
		again, ok := Turned(used, lies(block, wall, used), want, wall)
		if math.Abs(want-block) > 1e-9 && (!ok || !scalar.EqualWithinAbs(again, deg, 1e-3)) {
			t.Fatalf("Turned = %v, %v; Angle = %v", again, ok, deg)
		}
	})
}
