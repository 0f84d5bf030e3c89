package figure

import (
	"fmt"
	"strconv"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"netagauge/internal/judge/chart"
)

// Control draws a control chart: the points joined, the centre, and the limits
// as steps where subgroups differ in size. Points in a signal are squares;
// numbers name the points along the axis. What the house asks of single slices is a
// band behind them, apart from the limits of the points; an empty one is none.
func Control(l Letters, numbers []int, points []chart.Point, signals []chart.Signal, house Band) (Figure, error) {
	p := newPlot(l.Title, l.X, l.Y)
	if house.High > house.Low {
		if err := shade(p, -0.6, float64(len(points))-0.4, house.Low, house.High); err != nil {
			return Figure{}, fmt.Errorf("draw %q: %w", l.Title, err)
		}
	}
	if err := addChart(p, points, signals); err != nil {
		return Figure{}, fmt.Errorf("draw %q: %w", l.Title, err)
	}
	var ticks []plot.Tick
	every := 1 + len(points)/20
	for i := range points {
		t := plot.Tick{Value: float64(i)}
		if i%every == 0 {
			t.Label = strconv.Itoa(numbers[i])
		}
		ticks = append(ticks, t)
	}
	p.X.Tick.Marker = plot.ConstantTicks(ticks)
	p.X.Min, p.X.Max = -0.6, float64(len(points))-0.4
	return Figure{p, 17 * vg.Centimeter, 6.5 * vg.Centimeter}, nil
}

func addChart(p *plot.Plot, points []chart.Point, signals []chart.Signal) error {
	var values, centre, low, high, bad plotter.XYs
	for i, q := range points {
		x := float64(i)
		values = append(values, plotter.XY{X: x, Y: q.Value})
		step := func(line plotter.XYs, y float64) plotter.XYs {
			return append(line, plotter.XY{X: x - 0.5, Y: y}, plotter.XY{X: x + 0.5, Y: y})
		}
		centre, low, high = step(centre, q.Centre), step(low, q.Low), step(high, q.High)
	}
	marked := map[int]bool{}
	for _, s := range signals {
		if !marked[s.Point] {
			bad = append(bad, values[s.Point])
		}
		marked[s.Point] = true
	}
	for _, l := range []struct {
		xys    plotter.XYs
		dashed bool
	}{{centre, false}, {low, true}, {high, true}} {
		if err := line(p, quiet, 1, l.dashed, l.xys...); err != nil {
			return err
		}
	}
	if err := line(p, mark, 0.8, false, values...); err != nil {
		return err
	}
	if err := dots(p, mark, 2.4, draw.CircleGlyph{}, values); err != nil {
		return err
	}
	return dots(p, outside, 3.6, draw.BoxGlyph{}, bad)
}
