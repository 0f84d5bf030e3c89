// Package plansheet puts a cutting plan on paper and screen: a text table, CSV,
// an HTML page, a PDF sheet that lies beside the board, and the cuts drawn on
// the block's own photo. Lengths are in mm, weights in g, angles in degrees.
// Drawings show the block as the cook sees it: left is left, the far edge is
// up. It rounds for reading and never plans.
package plansheet

import (
	"fmt"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/judge/plan"
)

// stroke is how a line is drawn.
type stroke int

const (
	edge  stroke = iota // the block's outline
	blade               // a cut on the face that is seen
	under               // a cut on the board, below the block
)

// line is a row of points in mm, x right and y down.
type line struct {
	points []r2.Vec
	stroke stroke
	shut   bool
}

// label is a text centred on a point, in mm.
type label struct {
	at   r2.Vec
	text string
	ring bool // in a circle: the number of a cut
}

// figure is a drawing in mm at the block's own size, its corner at (0, 0).
type figure struct {
	width, height float64
	lines         []line
	labels        []label
}

const (
	ringRadius = 3.0  // mm
	margin     = 10.0 // mm about a drawing, for the numbers and the ends' names
)

// view maps the block's x (from the start) to the drawing's x.
type view struct {
	p      plan.Plan
	length float64
}

func newView(p plan.Plan) view { return view{p, p.BlockFromStart().Length()} }

func (v view) x(x float64) float64 {
	if v.p.MirrorX() {
		return margin + v.length - x
	}
	return margin + x
}

// fromAbove draws the block as it lies before the cook: each cut on the top
// face as a full line, on the board as a broken one.
func fromAbove(p plan.Plan) figure {
	v := newView(p)
	b := p.BlockFromStart()
	lo, hi := 0.0, 0.0
	for _, s := range b.Stations() {
		lo, hi = min(lo, s.Near), max(hi, s.Far)
	}
	y := func(y float64) float64 { return margin + hi - y }
	f := figure{width: v.length + 2*margin, height: hi - lo + 3*margin}
	var near, far []r2.Vec
	for _, s := range b.Stations() {
		near = append(near, r2.Vec{X: v.x(s.X), Y: y(s.Near)})
		far = append([]r2.Vec{{X: v.x(s.X), Y: y(s.Far)}}, far...)
	}
	f.lines = append(f.lines, line{append(near, far...), edge, true})
	side := func(x float64, isFar bool) r2.Vec {
		s := b.Section(x)
		if isFar {
			return r2.Vec{X: v.x(x), Y: y(s.Far)}
		}
		return r2.Vec{X: v.x(x), Y: y(s.Near)}
	}
	for _, c := range p.Cuts {
		top := []r2.Vec{side(c.TopNear, false), side(c.TopFar, true)}
		f.lines = append(f.lines,
			line{top, blade, false},
			line{[]r2.Vec{side(c.BoardNear, false), side(c.BoardFar, true)}, under, false})
		f.labels = append(f.labels, number(c.Number, r2.Vec{X: top[0].X, Y: f.numberRow(c.Number)}))
	}
	f.labels = append(f.labels, v.ends(y(0), p)...)
	return f
}

// fromSide draws the near side as the cook sees it, each cut as it shows there.
func fromSide(p plan.Plan) figure {
	v := newView(p)
	b := p.BlockFromStart()
	var high float64
	for _, s := range b.Stations() {
		high = max(high, s.Height)
	}
	z := func(z float64) float64 { return margin + high - z }
	f := figure{width: v.length + 2*margin, height: high + 3*margin}
	outline := []r2.Vec{{X: v.x(v.length), Y: z(0)}, {X: v.x(0), Y: z(0)}}
	for _, s := range b.Stations() {
		outline = append(outline, r2.Vec{X: v.x(s.X), Y: z(s.Height)})
	}
	f.lines = append(f.lines, line{outline, edge, true})
	for _, c := range p.Cuts {
		top := r2.Vec{X: v.x(c.TopNear), Y: z(b.Section(c.TopNear).Height)}
		foot := r2.Vec{X: v.x(c.BoardNear), Y: z(0)}
		f.lines = append(f.lines, line{[]r2.Vec{foot, top}, blade, false})
		f.labels = append(f.labels, number(c.Number, r2.Vec{X: foot.X, Y: f.numberRow(c.Number)}))
	}
	return f
}

// numberRow is where the number of a cut stands: in two rows, as cuts may lie
// closer than the numbers are wide.
func (f figure) numberRow(n int) float64 {
	return f.height - 1.5*margin - 1 + 7*float64(n%2)
}

func number(n int, at r2.Vec) label { return label{at, fmt.Sprint(n), true} }

// ends names the tail and the head of the block.
func (v view) ends(y float64, p plan.Plan) []label {
	left, right := "head", "tail"
	if p.Tail == plan.Left {
		left, right = right, left
	}
	return []label{{r2.Vec{X: margin / 2, Y: y}, left, false}, {r2.Vec{X: v.length + 1.5*margin, Y: y}, right, false}}
}
