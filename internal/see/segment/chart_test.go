package segment

import (
	"math"
	"testing"
)

// Colour counts as smeared where it was smoothed over samples of its own, not where
// coarse JPEG coding or sharpened brightness make the two rise unlike. Rises as read
// off renders: a sharp tray, a coin's photo of quality 75, smoothed colour.
func TestUnevenIsSmoothedColour(t *testing.T) {
	for _, c := range []struct {
		name         string
		light, color float64
		sample, want float64
	}{
		{"alike", 0.40, 0.41, 0.46, 0},
		{"coarse JPEG", 0.41, 0.70, 0.51, 0},
		{"smoothed", 0.30, 1.56, 0.46, 0.91}, // √(1.56² - 0.30²) / 1.6832
		{"the same on a finer photo", 0.41, 0.70, 0.17, 0.337},
		{"edge not seen", 0, 0, 0.46, 0},
	} {
		if got := (blur{c.light, c.color}).uneven(c.sample); math.Abs(got-c.want) > 0.005 {
			t.Errorf("%s: %.3f mm, want %.3f", c.name, got, c.want)
		}
	}
}
