package parallax

import (
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
)

// What is asked last speaks only of leans that what was asked first leaves open, and
// those as And would; a hopeless one stays hopeless whatever it gains.
func TestNarrowAsksOnlyWhatIsOpen(t *testing.T) {
	first := func(l r2.Vec) float64 { return -10 * r2.Norm2(l) }
	asked := 0
	last := func(l r2.Vec) float64 { asked++; return 3 * l.X }
	got, all := Weigh(first).Narrow(last), Weigh(first, last)
	open := asked - side*side // And asked about each
	for k, l := range got {
		hope := first(leanAt(k)) >= -hopeless
		if hope {
			open++
		}
		if hope != (l == all[k]) || !hope && l > -nothing {
			t.Fatalf("lean %.2f: %.2f, by And %.2f", leanAt(k), l, all[k])
		}
	}
	if open != 2*(asked-side*side) {
		t.Errorf("asked %d times about %d open leans", asked-side*side, open-(asked-side*side))
	}
}

// A side whose steps mean something else is left out, the other three stay.
func TestRimWithoutASide(t *testing.T) {
	outline, _ := slab(0, 0)
	rim := RimOf(outline, r2.Vec{X: 1}, r2.Vec{Y: 1})
	left := rim.Without(r2.Vec{X: 1})
	for _, p := range left {
		if p.normal.X > 0.9 {
			t.Fatalf("at %.1f the rim still faces the side left out", p.at)
		}
	}
	// 40 by 80 mm: the side is a third of the rim.
	if n := len(rim) - len(left); n < len(rim)/3-2 || n > len(rim)/3+3 {
		t.Errorf("%d of %d points were left out", n, len(rim))
	}
}
