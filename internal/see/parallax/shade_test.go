package parallax

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
)

// The mat's light is taken at each distance off a side, by that farther off; sides with
// something else beside them are left out.
func TestShadesOfASide(t *testing.T) {
	outline := []r2.Vec{}
	for _, c := range [][2]r2.Vec{{{X: 0, Y: 0}, {X: 1}}, {{X: 80, Y: 0}, {Y: 0.4}}, {{X: 80, Y: 32}, {X: -1}}, {{X: 0, Y: 32}, {Y: -0.4}}} {
		for i := range 80 {
			outline = append(outline, r2.Add(c[0], r2.Scale(float64(i), c[1])))
		}
	}
	rim := RimOf(outline, r2.Vec{Y: -1}, r2.Vec{X: 1})
	sides := []Side{
		{Normal: r2.Vec{Y: -1}, Mid: r2.Vec{X: 40}, Length: 80},
		{Normal: r2.Vec{X: 1}, Mid: r2.Vec{X: 80, Y: 16}, Length: 32},
		{Normal: r2.Vec{Y: 1}, Mid: r2.Vec{X: 40, Y: 32}, Length: 80},
	}
	shades := rim.Shades(sides, func(p r2.Vec) (float64, bool) {
		switch {
		case p.Y > 32: // something lies there
			return 0, p.X < 30
		case p.X > 80:
			return 5 - 2/(p.X-80), true
		}
		return 5 + 1/p.Y, true
	})
	if len(shades) != 2 {
		t.Fatalf("%d shades, want those of the two sides that are seen", len(shades))
	}
	far := away[distances]
	for k, strength := range []float64{1, 2} {
		for i, v := range shades[k].dark {
			if want := -strength/away[i] + 1.5/far; math.Abs(v-want) > 0.02 {
				t.Errorf("side %d, %.1f mm off: %.3f, want %.3f", k, away[i], v, want)
			}
		}
		if shades[k].Normal != sides[k].Normal || shades[k].Mid != sides[k].Mid {
			t.Errorf("side %d is taken for another: %v", k, shades[k])
		}
	}
}
