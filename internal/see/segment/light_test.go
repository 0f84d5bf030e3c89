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
		want float64
		ok   bool
	}{
		{"one", steps([2]float64{0.13, -40}), 0.13, true},
		{"a wall's upper edge beside it", steps([2]float64{-0.55, -80}, [2]float64{0.13, 40}), 0.13, true},
		{"a shadow's end beside it", steps([2]float64{-0.13, -40}, [2]float64{0.6, 80}), -0.13, true},
		{"noise", steps([2]float64{-0.3, -4}, [2]float64{0.2, 5}), 0, false},
		{"dark", steps(), 0, false},
	} {
		got, ok := c.p.step(3)
		if ok != c.ok || math.Abs(got-c.want) > 0.03 {
			t.Errorf("%s: %.3f mm, %v; want %.3f, %v", c.name, got, ok, c.want, c.ok)
		}
	}
}
