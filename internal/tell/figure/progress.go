package figure

import (
	"fmt"
	"time"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// Grade is a grade in percent on a day.
type Grade struct {
	Day     time.Time
	Percent float64
}

// Progress draws grades over sessions, oldest first, evenly spaced and named by
// their day as Day lays it out.
func Progress(l Letters, grades []Grade) (Figure, error) {
	p := newPlot(l.Title, l.X, l.Y)
	xys := make(plotter.XYs, len(grades))
	var days []plot.Tick
	every := 1 + len(grades)/12 // days that fit beside each other
	for i, g := range grades {
		xys[i] = plotter.XY{X: float64(i), Y: g.Percent}
		t := plot.Tick{Value: float64(i)}
		if i%every == 0 {
			t.Label = g.Day.Format(l.Day)
		}
		days = append(days, t)
	}
	if len(xys) > 0 {
		if err := line(p, mark, 1.2, false, xys...); err != nil {
			return Figure{}, fmt.Errorf("draw %q: %w", l.Title, err)
		}
	}
	if err := dots(p, mark, 3, draw.CircleGlyph{}, xys); err != nil {
		return Figure{}, fmt.Errorf("draw %q: %w", l.Title, err)
	}
	p.X.Tick.Marker = plot.ConstantTicks(days)
	p.X.Tick.Label.Font = letter(9, labels(days)...)
	p.X.Min, p.X.Max = -0.3, float64(max(len(grades), 2))-0.7
	p.Y.Min, p.Y.Max = 0, 102
	return Figure{p, 17 * vg.Centimeter, 6.5 * vg.Centimeter}, nil
}
