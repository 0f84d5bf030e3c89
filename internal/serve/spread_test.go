package serve

import (
	"math"
	"testing"

	"netagauge/internal/core/piece"
	"netagauge/internal/judge/chart"
	"netagauge/internal/judge/grade"
	"netagauge/internal/judge/standard"
	"netagauge/internal/work/line"
)

// Sizes lie as far apart as the largest and the smallest, without triangles; of two
// nothing is said.
func TestSpreadOfATray(t *testing.T) {
	tray := grade.Tray{}
	for i, mm := range []float64{80, 85, 82, 60} {
		tray.Report.Pieces = append(tray.Report.Pieces, piece.Piece{Number: i + 1, State: piece.Measured, Length: piece.Of(mm, 0.5), Triangular: mm == 60})
	}
	if got, ok := spread(tray, piece.Length); !ok || got != 5 {
		t.Errorf("%g, %v, want 5 mm", got, ok)
	}
	tray.Report.Pieces = tray.Report.Pieces[:2]
	if _, ok := spread(tray, piece.Length); ok {
		t.Error("two slices tell how far they lie apart")
	}
}

// The house's band lies on a phone's chart between its own limits, the upper one above.
func TestBandOnThePhoneChart(t *testing.T) {
	m := line.Measure{Band: standard.Limits{Low: 75, Aim: 80, High: 85}, Checks: []int{0, 1}, Pair: chart.Pair{Mean: []chart.Point{{Value: 78, Low: 76, High: 84}, {Value: 82, Low: 76, High: 84}}}}
	c := phoneChartOf(m, []line.Check{{Number: 1}, {Number: 2}})
	low, high := c.Ticks[0].Y, c.Ticks[1].Y
	if high >= low || math.Abs(c.Band.Y-high) > 1e-9 || math.Abs(c.Band.Y+c.Band.Height-low) > 1e-9 {
		t.Errorf("the band is at %g, %g high; its limits are at %g and %g", c.Band.Y, c.Band.Height, high, low)
	}
	if c.Points[0].Y <= c.Points[1].Y {
		t.Error("the larger mean is not above the smaller one")
	}
}
