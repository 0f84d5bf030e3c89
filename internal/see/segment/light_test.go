package segment

import (
	"math"
	"testing"
)

// Of two steps of brightness the one that lies where colour has the edge is taken,
// though the other is twice as high, and either may rise or fall. Noise is no step.
func TestStepBesideTheEdgeOfColour(t *testing.T) {
	steps := func(at ...[2]float64) *lightProfile {
		p := &lightProfile{}
		for i := range p {
			x := float64(i)*lightEvery - lightReach
			for _, s := range at {
				p[i] += s[1] / 2 * (1 + math.Erf((x-s[0])/0.12/math.Sqrt2))
			}
		}
		return p
	}
	for _, c := range []struct {
		name string
		p    *lightProfile
		off  float64
		want float64
		ok   bool
	}{
		{"one", steps([2]float64{0.13, -40}), colourOff, 0.13, true},
		{"a wall's upper edge beside it", steps([2]float64{-0.55, -80}, [2]float64{0.13, 40}), colourOff, 0.13, true},
		{"a shadow's end beside it", steps([2]float64{-0.13, -40}, [2]float64{0.6, 80}), colourOff, -0.13, true},
		{"colours alike, so the step may lie far off", steps([2]float64{-0.6, -80}, [2]float64{0.1, 10}), nearest, -0.6, true},
		{"noise", steps([2]float64{-0.3, -4}, [2]float64{0.2, 5}), colourOff, 0, false},
		{"dark", steps(), colourOff, 0, false},
	} {
		got, ok := c.p.step(3, c.off)
		if ok != c.ok || math.Abs(got-c.want) > 0.03 {
			t.Errorf("%s: %.3f mm, %v; want %.3f, %v", c.name, got, ok, c.want, c.ok)
		}
	}
}

// Brightness is asked only where colour cannot tell: alike colours, or smeared ones.
func TestWhenColourNeedsHelp(t *testing.T) {
	clear, smeared := &tracer{planes: &planes{}}, &tracer{planes: &planes{smear: 0.5}}
	for _, c := range []struct {
		t           *tracer
		apart, want float64
	}{{clear, 0.4, 0}, {clear, 0.2, 0.3}, {clear, 0.12, 0.5}, {clear, 0.04, nearest}, {clear, 0, nearest}, {smeared, 0.4, colourOff}} {
		if got := c.t.off(point{apart: c.apart}); math.Abs(got-c.want) > 1e-9 {
			t.Errorf("ratios %.2f apart: %.2f mm, want %.2f", c.apart, got, c.want)
		}
	}
}
