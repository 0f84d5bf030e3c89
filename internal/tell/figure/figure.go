// Package figure draws what a class or a line measured: each trainee's slices
// against the band of the standard, grades over sessions, and control charts.
// It plots the values it is given, in their unit, and computes none of its own.
// Texts are escaped; long names are cut on the drawing only.
package figure

import (
	"bytes"
	"fmt"
	"image/color"
	"sync"
	"unicode"

	"golang.org/x/image/font/opentype"
	"gonum.org/v1/plot"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgimg"

	"netagauge/internal/tell/letters"
)

// Figure is a drawing of a fixed size.
type Figure struct {
	plot          *plot.Plot
	width, height vg.Length
}

// Letters are what a drawing of points over time says, in any language: its title,
// its axes, and how a day is written (a layout of package time).
type Letters struct{ Title, X, Y, Day string }

// SVG is the drawing as a file of its own.
func (f Figure) SVG() ([]byte, error) { return f.as("svg") }

// PNG is the drawing for where SVG cannot go, fine enough for print.
func (f Figure) PNG() ([]byte, error) {
	c := vgimg.PngCanvas{Canvas: vgimg.NewWith(vgimg.UseWH(f.width, f.height), vgimg.UseDPI(printDPI))}
	f.plot.Draw(draw.New(c))
	var out bytes.Buffer
	if _, err := c.WriteTo(&out); err != nil {
		return nil, fmt.Errorf("draw %q: %w", f.plot.Title.Text, err)
	}
	return out.Bytes(), nil
}

// printDPI is how many pixels an inch a drawing has on paper.
const printDPI = 200

// AspectRatio is height over width.
func (f Figure) AspectRatio() float64 { return float64(f.height / f.width) }

func (f Figure) as(format string) ([]byte, error) {
	w, err := f.plot.WriterTo(f.width, f.height, format)
	if err != nil {
		return nil, fmt.Errorf("draw %q: %w", f.plot.Title.Text, err)
	}
	var out bytes.Buffer
	if _, err := w.WriteTo(&out); err != nil {
		return nil, fmt.Errorf("draw %q: %w", f.plot.Title.Text, err)
	}
	return out.Bytes(), nil
}

// Colours of the pages, which stay apart for people who see red and green alike, and
// in print.
var (
	ink     = color.RGBA{31, 27, 22, 255}
	quiet   = color.RGBA{133, 122, 104, 255}
	band    = color.RGBA{230, 220, 196, 255}
	mark    = color.RGBA{44, 76, 151, 255}
	outside = color.RGBA{164, 45, 20, 255}
)

// japanese names the face of texts that Liberation Sans cannot hold.
const japanese = "VL PGothic"

// addJapanese makes that face known to the drawings, once.
var addJapanese = sync.OnceFunc(func() {
	face, err := opentype.Parse(letters.Japanese())
	if err != nil {
		return // such texts are then drawn as boxes
	}
	font.DefaultCache.Add(font.Collection{{Font: font.Font{Typeface: japanese}, Face: face}})
})

// letter is the font for texts of a size, in points.
func letter(size float64, texts ...string) font.Font {
	for _, s := range texts {
		if letters.For(s) != letters.LatinFace {
			addJapanese()
			return font.Font{Typeface: japanese, Size: vg.Points(size)}
		}
	}
	return font.Font{Typeface: "Liberation", Variant: "Sans", Size: vg.Points(size)}
}

func newPlot(title, x, y string) *plot.Plot {
	p := plot.New()
	p.Title.Text, p.X.Label.Text, p.Y.Label.Text = drawable(title, 70), drawable(x, 100), drawable(y, 60)
	p.Title.TextStyle.Font, p.Title.Padding = letter(11, title), vg.Points(6)
	for _, a := range []*plot.Axis{&p.X, &p.Y} {
		a.Label.TextStyle.Font, a.Tick.Label.Font = letter(10, a.Label.Text), letter(9)
		a.Color, a.Tick.Color, a.Tick.Label.Color = quiet, quiet, ink
		a.Label.Padding = vg.Points(4)
	}
	return p
}

// drawable cuts a text to n characters and replaces what a drawing cannot hold
// or would turn around: controls, marks of direction, and characters outside
// the plane that the drawing's fonts cover.
func drawable(s string, n int) string {
	out := []rune{}
	for _, r := range s {
		if len(out) == n {
			out[n-1] = '…'
			break
		}
		if !unicode.IsPrint(r) || r > 0xffff {
			r = '�'
		}
		out = append(out, r)
	}
	return string(out)
}

// shade fills a box with the band's colour.
func shade(p *plot.Plot, left, right, low, high float64) error {
	box, err := plotter.NewPolygon(plotter.XYs{{X: left, Y: low}, {X: right, Y: low}, {X: right, Y: high}, {X: left, Y: high}})
	if err != nil {
		return err
	}
	box.Color, box.LineStyle.Width = band, 0
	p.Add(box)
	return nil
}

// line adds a straight line.
func line(p *plot.Plot, c color.Color, width float64, dashed bool, xy ...plotter.XY) error {
	l, err := plotter.NewLine(plotter.XYs(xy))
	if err != nil {
		return err
	}
	l.Color, l.Width = c, vg.Points(width)
	if dashed {
		l.Dashes = []vg.Length{vg.Points(4), vg.Points(3)}
	}
	p.Add(l)
	return nil
}

func dots(p *plot.Plot, c color.Color, radius float64, shape draw.GlyphDrawer, xys plotter.XYs) error {
	if len(xys) == 0 {
		return nil
	}
	s, err := plotter.NewScatter(xys)
	if err != nil {
		return err
	}
	s.GlyphStyle = draw.GlyphStyle{Color: c, Radius: vg.Points(radius), Shape: shape}
	p.Add(s)
	return nil
}
