package desk

import (
	"netagauge/internal/judge/acceptance"
	"testing"
)

// What is typed are mm and %; the usual limits are those that the help names.
func TestLimitsOf(t *testing.T) {
	if got, err := limitsOf(0.5, 1.5); err != nil || got != acceptance.Usual {
		t.Errorf("0.5 mm and 1.5 %% are %+v (%v), want the usual %+v", got, err, acceptance.Usual)
	}
	for _, c := range [][2]float64{{0, 1}, {1, 0}, {-1, 1}} {
		if _, err := limitsOf(c[0], c[1]); err == nil {
			t.Errorf("limits %g are taken", c)
		}
	}
}
