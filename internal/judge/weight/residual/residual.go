// Package residual draws how a profile's pieces scatter about its line, as SVG:
// area in mm² to the right, weight less the line's in g upward, with the 95 %
// prediction interval. It draws what the fit says and decides nothing.
package residual

import (
	"bytes"
	"fmt"
	"image/color"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"netagauge/internal/judge/weight"
)

// Size of the drawing.
const width, height = 16 * vg.Centimeter, 10 * vg.Centimeter

var (
	ink  = color.Gray{40}
	band = color.Gray{150}
)

// SVG draws the residuals of a fit.
func SVG(f weight.Fit) ([]byte, error) {
	p := plot.New()
	p.Title.Text = fmt.Sprintf("%s, cut by %s: %d pieces weighed", f.Species, f.Cutter, len(f.Pieces))
	p.X.Label.Text = "area of the outline, mm²"
	p.Y.Label.Text = "weighed less predicted, g"
	points := make(plotter.XYs, len(f.Pieces))
	low, high := f.Pieces[0].Area, f.Pieces[0].Area
	for i, s := range f.Pieces {
		points[i] = plotter.XY{X: s.Area, Y: f.Residual(i) * s.Area}
		low, high = min(low, s.Area), max(high, s.Area)
	}
	scatter, err := plotter.NewScatter(points)
	if err != nil {
		return nil, fmt.Errorf("draw residuals: %w", err)
	}
	scatter.GlyphStyle = draw.GlyphStyle{Color: ink, Radius: vg.Points(3), Shape: draw.CircleGlyph{}}
	p.Add(plotter.NewGrid(), scatter)
	for _, sign := range []float64{-1, 0, 1} {
		if err := addLine(p, f, low, high, sign); err != nil {
			return nil, err
		}
	}
	w, err := p.WriterTo(width, height, "svg")
	if err != nil {
		return nil, fmt.Errorf("draw residuals: %w", err)
	}
	var out bytes.Buffer
	_, err = w.WriteTo(&out)
	return out.Bytes(), err
}

// addLine draws the prediction interval's edge on one side, or the line itself
// for sign 0; all are straight, since the interval is a share of the weight.
func addLine(p *plot.Plot, f weight.Fit, low, high, sign float64) error {
	_, ul := f.Predict(low)
	_, uh := f.Predict(high)
	l, err := plotter.NewLine(plotter.XYs{{X: low, Y: sign * ul}, {X: high, Y: sign * uh}})
	if err != nil {
		return fmt.Errorf("draw residuals: %w", err)
	}
	l.Color = ink
	if sign != 0 {
		l.Color, l.Dashes = band, []vg.Length{vg.Points(4), vg.Points(3)}
	}
	p.Add(l)
	return nil
}
