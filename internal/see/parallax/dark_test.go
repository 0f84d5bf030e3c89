package parallax

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
)

// A side that faces the eye from 100 mm off, 5 mm high under an eye at 405 mm: 1.25 mm
// less a half of it are seen of an upright wall whose side is 50 mm off, none of one that
// runs inward. Light missing beside the edge speaks for the upright one, light that is all
// there for the other or for a wall too wide to be darker beside its edge.
func TestDarkTellsNarrowWalls(t *testing.T) {
	const high, dark, light = 5.0, 0.19, 0.0
	eye := Eye{Foot: r2.Vec{X: 50}, Height: 405}
	tell := func(seen float64) func(lean float64) float64 {
		of := Dark(Side{Normal: r2.Vec{X: 1}, Dark: seen}, eye, high)
		return func(lean float64) float64 { return of(r2.Vec{X: lean, Y: 3}) } // along the side nothing shows
	}
	const upright, inward, wide = 0.0, -0.3, 0.5
	for _, c := range []struct {
		name            string
		seen            float64
		likely, or, not float64
	}{
		{"dark", dark, upright, 0.05, inward}, {"dark", dark, upright, 0.05, wide},
		{"light", light, inward, wide, upright}, {"light", light, -2, 2, upright},
	} {
		odds := tell(c.seen)
		if least := math.Min(odds(c.likely), odds(c.or)); least < odds(c.not)+1 {
			t.Errorf("%s: leans %v and %v have odds of %.2f at least, %v has %.2f", c.name, c.likely, c.or, least, c.not, odds(c.not))
		}
	}
	if odds := tell(math.NaN()); odds(upright) != 0 || odds(inward) != 0 {
		t.Error("a side that was not looked at tells something")
	}
}

// Odds have no jumps, and end in level stretches.
func TestDarkOddsAreEven(t *testing.T) {
	for _, seen := range []float64{-0.1, 0, 0.1, 0.2, 0.4} {
		of := Dark(Side{Normal: r2.Vec{X: 1}, Dark: seen}, Eye{Height: 400}, 4)
		for lean := -1.0; lean < 1; lean += 0.005 {
			if a, b := of(r2.Vec{X: lean}), of(r2.Vec{X: lean + 0.005}); math.Abs(a-b) > 0.4 {
				t.Errorf("light missing %v: from %.2f to %.2f at a lean of %.3f", seen, a, b, lean)
			}
		}
		if a, b := of(r2.Vec{X: -3}), of(r2.Vec{X: -1}); a != b {
			t.Errorf("walls that are not seen have odds of %v and %v", a, b)
		}
	}
}
