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
		if got := (blur{light: c.light, colour: c.color}).uneven(c.sample); math.Abs(got-c.want) > 0.005 {
			t.Errorf("%s: %.3f mm, want %.3f", c.name, got, c.want)
		}
	}
}

// A smear that reaches beyond the chart's profiles is told for what it is, where
// the rise between their ends is a sixth too short.
func TestSmearBeyondTheChart(t *testing.T) {
	const sigma = 1.8 // mm
	field, paper := colour{80, 30, -21}, colour{208, 0, 0}
	p := make(chartProfile, int((chartIn+chartOut)/chartStep)+1)
	for i := range p {
		x := float64(i)*chartStep - chartIn
		out := 0.5 * (1 + math.Erf(x/sigma/math.Sqrt2))
		p[i] = colour{field.l, field.b * (1 - out), field.r * (1 - out)}
		if x > 0 {
			p[i].l = paper.l
		}
	}
	light, far := p.rises()
	seen := blur{light, far, []chartProfile{p}}
	if short := math.Sqrt(far*far-light*light) / gaussRise; short > 0.86*sigma {
		t.Errorf("the rises tell %.2f mm: the test shows nothing", short)
	}
	if got := seen.uneven(0.46); math.Abs(got-sigma) > 0.05*sigma {
		t.Errorf("%.2f mm, want %.2f", got, sigma)
	}
}
