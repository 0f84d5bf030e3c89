package figure

import (
	"fmt"
	"slices"
	"strings"
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

// Course is what changes over the days, with a name where there are several.
type Course struct {
	Name   string
	Grades []Grade
}

// Progress draws grades over sessions, oldest first, evenly spaced and named by
// their day as Day lays it out. A second course is dashed, with rings.
func Progress(l Letters, courses ...Course) (Figure, error) {
	p := newPlot(l.Title, l.X, l.Y)
	days := daysOf(courses)
	for i, c := range courses {
		if err := addCourse(p, c, days, len(courses) == 1, i > 0); err != nil {
			return Figure{}, fmt.Errorf("draw %q: %w", l.Title, err)
		}
	}
	var ticks []plot.Tick
	every := 1 + len(days)/12 // days that fit beside each other
	for i, day := range days {
		t := plot.Tick{Value: float64(i)}
		if i%every == 0 {
			t.Label = day.Format(l.Day)
		}
		ticks = append(ticks, t)
	}
	p.X.Tick.Marker = plot.ConstantTicks(ticks)
	p.X.Tick.Label.Font = letter(9, labels(ticks)...)
	p.X.Min, p.X.Max = -0.3, float64(max(len(days), 2))-0.7
	p.Y.Min, p.Y.Max = 0, 102
	return Figure{p, 17 * vg.Centimeter, 6.5 * vg.Centimeter}, nil
}

// daysOf are the days of all courses, oldest first; each is there once, by its date.
func daysOf(courses []Course) []time.Time {
	var out []time.Time
	for _, c := range courses {
		for _, g := range c.Grades {
			out = append(out, g.Day)
		}
	}
	slices.SortStableFunc(out, func(a, b time.Time) int { return strings.Compare(date(a), date(b)) })
	return slices.CompactFunc(out, func(a, b time.Time) bool { return len(courses) > 1 && date(a) == date(b) })
}

func date(t time.Time) string { return t.Format(time.DateOnly) }

func addCourse(p *plot.Plot, c Course, days []time.Time, alone, second bool) error {
	var xys plotter.XYs
	for _, g := range c.Grades {
		at := len(xys) // alone each has a place of its own, two of one day as well
		if !alone {
			at = slices.IndexFunc(days, func(d time.Time) bool { return date(d) == date(g.Day) })
		}
		xys = append(xys, plotter.XY{X: float64(at), Y: g.Percent})
	}
	if len(xys) == 0 {
		return nil
	}
	var shape draw.GlyphDrawer = draw.CircleGlyph{}
	colour := mark
	if second {
		shape, colour = draw.RingGlyph{}, ink
	}
	path, err := plotter.NewLine(xys)
	if err != nil {
		return err
	}
	path.Color, path.Width = colour, vg.Points(1.2)
	if second {
		path.Dashes = []vg.Length{vg.Points(4), vg.Points(3)}
	}
	p.Add(path)
	if c.Name != "" {
		p.Legend.Add(c.Name, path)
		p.Legend.TextStyle.Font = letter(9, c.Name)
	}
	return dots(p, colour, 3, shape, xys)
}
