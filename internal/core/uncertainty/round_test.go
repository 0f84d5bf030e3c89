package uncertainty

import (
	"math"
	"testing"
)

// By hand; that U is rounded up and never down is GUM 7.2.6's "it may be
// appropriate to round uncertainties up": its example is 10.47 mΩ to 11 mΩ.
func TestRound(t *testing.T) {
	for _, c := range []struct {
		v      float64
		digits int
		to, up float64
	}{
		{10.47, 0, 10, 11}, {0.25, 1, 0.3, 0.3}, {-0.25, 1, -0.3, -0.2}, {-0.04, 1, 0, 0}, {0.3, 1, 0.3, 0.3},
		{0.30001, 1, 0.3, 0.4}, {1e20, 3, 1e20, 1e20}, {math.Inf(1), 1, math.Inf(1), math.Inf(1)},
	} {
		if got := Round(c.v, c.digits); got != c.to || math.Signbit(got) != math.Signbit(c.to) {
			t.Errorf("Round(%g, %d) = %g, want %g", c.v, c.digits, got, c.to)
		}
		if got := RoundUp(c.v, c.digits); got != c.up {
			t.Errorf("RoundUp(%g, %d) = %g, want %g", c.v, c.digits, got, c.up)
		}
	}
	if got := PlusMinus(81.84, 0.51, 1); got != "81.8 ± 0.6" {
		t.Errorf("PlusMinus gives %q", got)
	}
}
