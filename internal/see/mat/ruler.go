package mat

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// Ruler has a tick at every whole millimetre from From to To, along its base;
// the ticks grow in the direction Grow. A numbered one counts from its first tick.
type Ruler struct {
	From, To, Grow r2.Vec
	Numbered       bool
}

// edgeRulers lie along the bottom and the left side, the bar at the top.
func (l *Layout) edgeRulers() {
	w, h := l.Paper.X, l.Paper.Y
	l.Rulers = []Ruler{
		{From: r2.Vec{X: rulerMargin, Y: h - rulerInset}, To: r2.Vec{X: w - rulerMargin, Y: h - rulerInset}, Grow: r2.Vec{Y: -1}},
		{From: r2.Vec{X: rulerInset, Y: rulerMargin}, To: r2.Vec{X: rulerInset, Y: h - rulerMargin}, Grow: r2.Vec{X: 1}},
	}
	l.CheckBar = CheckBar{From: r2.Vec{X: (w - barMM) / 2, Y: barY}, To: r2.Vec{X: (w + barMM) / 2, Y: barY}}
}

// marginRulers lie along the same sides, inside the margin; the bar is the first
// 100 mm of the lower one's base.
func (l *Layout) marginRulers(ring r2.Box) {
	w, h := l.Paper.X, l.Paper.Y
	base := h - marginMM - capHalf
	from := ring.Min.X
	l.Rulers = []Ruler{
		{From: r2.Vec{X: from, Y: base}, To: r2.Vec{X: math.Floor(w - marginMM - tickWide), Y: base}, Grow: r2.Vec{Y: -1}, Numbered: true},
		{From: r2.Vec{X: marginMM, Y: rulerMargin}, To: r2.Vec{X: marginMM, Y: math.Floor(base - rulerBand)}, Grow: r2.Vec{X: 1}, Numbered: true},
	}
	l.CheckBar = CheckBar{From: r2.Vec{X: from, Y: base}, To: r2.Vec{X: from + barMM, Y: base}}
}

// capHalf is half the height of the caps at the ends of the check bar.
const capHalf = 1.5

// Lengths of a ruler's ticks at 1, 5 and 10 mm, and their thickness, in mm.
const (
	tickOne  = 2.0
	tickFive = 3.5
	tickTen  = 5.0
	tickWide = 0.15
)

// Ticks returns the ruler's ticks as filled boxes, each centred on a whole
// millimetre of the mat frame.
func (r Ruler) Ticks() []r2.Box {
	along := r2.Unit(r2.Sub(r.To, r.From))
	n := int(math.Floor(r2.Norm(r2.Sub(r.To, r.From))))
	first := int(math.Round(r2.Dot(along, r.From)))
	if r.Numbered {
		first = 0
	}
	ticks := make([]r2.Box, 0, n+1)
	for i := 0; i <= n; i++ {
		base := r2.Add(r.From, r2.Scale(float64(i), along))
		tip := r2.Add(base, r2.Scale(tickLength(first+i), r.Grow))
		side := r2.Scale(tickWide/2, along)
		a, b := r2.Sub(base, side), r2.Add(tip, side)
		ticks = append(ticks, r2.NewBox(a.X, a.Y, b.X, b.Y))
	}
	return ticks
}

// Numbers are what a numbered ruler counts, and where: at the tip of every tenth
// tick but the first, beside it.
func (r Ruler) Numbers() map[int]r2.Vec {
	out := map[int]r2.Vec{}
	if !r.Numbered {
		return out
	}
	along := r2.Unit(r2.Sub(r.To, r.From))
	for mm := 10; float64(mm)+numberRoom <= r2.Norm(r2.Sub(r.To, r.From)); mm += 10 {
		out[mm] = r2.Add(r2.Add(r.From, r2.Scale(float64(mm), along)), r2.Scale(tickTen, r.Grow))
	}
	return out
}

// numberRoom is how far a number reaches along its ruler, mm.
const numberRoom = 4.0

func tickLength(mm int) float64 {
	switch {
	case mm%10 == 0:
		return tickTen
	case mm%5 == 0:
		return tickFive
	}
	return tickOne
}
