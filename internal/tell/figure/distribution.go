package figure

import (
	"fmt"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// Row is one trainee's values.
type Row struct {
	Name   string
	Values []float64
}

// Band is what the standard asks, in the unit of the values.
type Band struct{ Low, Aim, High float64 }

// Distribution draws every slice of each trainee as a dot against the band; a
// slice outside it is a square, and a bar marks each trainee's mean.
func Distribution(l Letters, rows []Row, b Band) (Figure, error) {
	p := newPlot(l.Title, l.X, l.Y)
	n := float64(len(rows))
	if err := shade(p, b.Low, b.High, -0.6, n-0.4); err != nil {
		return Figure{}, fmt.Errorf("draw %q: %w", l.Title, err)
	}
	if err := line(p, quiet, 0.8, true, plotter.XY{X: b.Aim, Y: -0.6}, plotter.XY{X: b.Aim, Y: n - 0.4}); err != nil {
		return Figure{}, fmt.Errorf("draw %q: %w", l.Title, err)
	}
	names := make([]plot.Tick, 0, len(rows))
	for i, r := range rows {
		y := n - 1 - float64(i) // the first name on top
		names = append(names, plot.Tick{Value: y, Label: drawable(r.Name, 26)})
		if err := addRow(p, r, y, b); err != nil {
			return Figure{}, fmt.Errorf("draw %q: %w", l.Title, err)
		}
	}
	p.Y.Tick.Marker = plot.ConstantTicks(names)
	p.Y.Tick.Label.Font = letter(9, labels(names)...)
	p.Y.Tick.Length = 0
	p.Y.Min, p.Y.Max = -0.6, n-0.4
	margin := 0.03 * (p.X.Max - p.X.Min) // so that no mark is cut in half
	p.X.Min, p.X.Max = p.X.Min-margin, p.X.Max+margin
	return Figure{p, 17 * vg.Centimeter, vg.Length(2.6+0.6*max(n, 2)) * vg.Centimeter}, nil
}

func labels(ticks []plot.Tick) []string {
	out := make([]string, len(ticks))
	for i, t := range ticks {
		out[i] = t.Label
	}
	return out
}

func addRow(p *plot.Plot, r Row, y float64, b Band) error {
	var in, out plotter.XYs
	sum := 0.0
	for _, v := range r.Values {
		sum += v
		if v < b.Low || v > b.High {
			out = append(out, plotter.XY{X: v, Y: y})
		} else {
			in = append(in, plotter.XY{X: v, Y: y})
		}
	}
	if len(r.Values) == 0 {
		return nil
	}
	mean := sum / float64(len(r.Values))
	if err := line(p, ink, 1.6, false, plotter.XY{X: mean, Y: y - 0.3}, plotter.XY{X: mean, Y: y + 0.3}); err != nil {
		return err
	}
	if err := dots(p, mark, 2.6, draw.RingGlyph{}, in); err != nil {
		return err
	}
	return dots(p, outside, 2.4, draw.BoxGlyph{}, out)
}
