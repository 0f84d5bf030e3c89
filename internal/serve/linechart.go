package serve

import (
	"math"

	"netagauge/internal/judge/chart"
	"netagauge/internal/work/line"
)

// shownChecks is how many checks a phone shows, the newest last; the rest is in the
// large chart.
const shownChecks = 12

// The chart's frame in CSS px: it fits a phone of 390 without moving it sideways.
const (
	chartWidth, chartHeight = 358, 190
	chartLeft, chartRight   = 36, 350
	chartTop, chartBottom   = 12, 160
)

// phoneChart is a measure's last means: the house's band, the usual range, the checks.
type phoneChart struct {
	Band          *chartBand // what the house asks; nil where it asks for none
	Usual         []chartStep
	Points        []chartPoint
	Ticks         []chartTick
	Width, Height float64
}

type chartBand struct{ Y, Height float64 }

// chartStep is the usual range about one check.
type chartStep struct{ X0, X1, Low, High float64 }

type chartPoint struct {
	X, Y        float64
	Check       int
	Out, Newest bool
}

type chartTick struct {
	Y    float64
	Text string
}

// phoneChartOf draws the means of a measure's last checks.
func phoneChartOf(m line.Measure, named []line.Check) phoneChart {
	points, checks := m.Pair.Mean, m.Checks
	from := max(0, len(points)-shownChecks)
	shown := points[from:]
	out := map[int]bool{}
	for _, s := range m.Mean {
		out[s.Point] = true
	}
	low, high := extent(shown, m)
	y := func(v float64) float64 { return chartBottom - (chartBottom-chartTop)*(v-low)/(high-low) }
	step := (chartRight - chartLeft) / float64(len(shown))
	c := phoneChart{Width: chartWidth, Height: chartHeight}
	if b := m.Band; b.High > b.Low {
		c.Band = &chartBand{y(b.High), y(b.Low) - y(b.High)}
		c.Ticks = []chartTick{{y(b.Low), trimmed(b.Low)}, {y(b.High), trimmed(b.High)}}
	}
	for i, p := range shown {
		x := chartLeft + step*(float64(i)+0.5)
		c.Usual = append(c.Usual, chartStep{x - step/2, x + step/2, y(p.Low), y(p.High)})
		c.Points = append(c.Points, chartPoint{x, y(p.Value), named[checks[from+i]].Number, out[from+i], i == len(shown)-1})
	}
	return c
}

// extent is from the least to the greatest that the chart shows, with some air.
func extent(points []chart.Point, m line.Measure) (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	take := func(values ...float64) {
		for _, v := range values {
			low, high = math.Min(low, v), math.Max(high, v)
		}
	}
	for _, p := range points {
		take(p.Value, p.Low, p.High)
	}
	if m.Band.High > m.Band.Low {
		take(m.Band.Low, m.Band.High)
	}
	air := math.Max(0.05*(high-low), 1e-9)
	return low - air, high + air
}
