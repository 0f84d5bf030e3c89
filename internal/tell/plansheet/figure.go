// Package plansheet puts a cutting plan on paper and screen: a text table, CSV,
// an HTML page, a PDF sheet that lies beside the board, and the cuts drawn on
// the block's own photo. Lengths are in mm, weights in g, angles in degrees.
// Drawings show the block as the cook sees it: left is left, the far edge is
// up. It rounds for reading and never plans.
package plansheet

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

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
// face as a full line, on the board as a broken one, its number by one of them.
func (s Sheet) fromAbove(numbered stroke) figure {
	v, b := newView(s.Plan), s.BlockFromStart()
	lo, hi := 0.0, 0.0
	for _, at := range b.Stations() {
		lo, hi = min(lo, at.Near), max(hi, at.Far)
	}
	y := func(y float64) float64 { return margin + hi - y }
	f := figure{width: v.length + 2*margin, height: hi - lo + 3*margin}
	var near, far []r2.Vec
	for _, at := range b.Stations() {
		near = append(near, r2.Vec{X: v.x(at.X), Y: y(at.Near)})
		far = append([]r2.Vec{{X: v.x(at.X), Y: y(at.Far)}}, far...)
	}
	f.lines = append(f.lines, line{append(near, far...), edge, true})
	for i, c := range s.Cuts {
		top, board := s.Traces(i)
		for k, trace := range [][]r3.Vec{board, top} {
			var ps []r2.Vec
			for _, at := range trace {
				ps = append(ps, r2.Vec{X: v.x(s.FromTail(at.X)), Y: y(at.Y)})
			}
			if len(ps) < 2 {
				continue
			}
			style := [...]stroke{under, blade}[k]
			f.lines = append(f.lines, line{bends(ps), style, false})
			if style != numbered {
				continue
			}
			at := r2.Vec{X: ps[0].X, Y: f.numberRow(c.Number)}
			if trace[0].Y > b.Section(s.FromTail(trace[0].X)).Near+1 { // it leaves by an end
				at = r2.Vec{X: ps[0].X + math.Copysign(1.5*ringRadius, ps[0].X-f.width/2), Y: ps[0].Y}
			}
			f.labels = append(f.labels, number(c.Number, at))
		}
	}
	for _, name := range s.endNames(v, y(0)) {
		name.at = f.free(name.at)
		f.labels = append(f.labels, name)
	}
	return f
}

// bends leaves out the points between which a row of them runs straight, to 0.02 mm
// (Douglas and Peucker, 1973).
func bends(ps []r2.Vec) []r2.Vec {
	from, to := ps[0], ps[len(ps)-1]
	along := r2.Unit(r2.Sub(to, from))
	farthest, off := 0, 0.02
	for i := 1; i < len(ps)-1; i++ {
		if d := math.Abs(r2.Cross(along, r2.Sub(ps[i], from))); d > off {
			farthest, off = i, d
		}
	}
	if farthest == 0 {
		return []r2.Vec{from, to}
	}
	return append(bends(ps[:farthest+1]), bends(ps[farthest:])[1:]...)
}

// fromSide draws the near side as the cook sees it, each cut as it shows there.
func (s Sheet) fromSide() figure {
	v, b := newView(s.Plan), s.BlockFromStart()
	var high float64
	for _, at := range b.Stations() {
		high = max(high, at.Highest())
	}
	z := func(z float64) float64 { return margin + high - z }
	f := figure{width: v.length + 2*margin, height: high + 3*margin}
	outline := []r2.Vec{{X: v.x(v.length), Y: z(0)}, {X: v.x(0), Y: z(0)}}
	for _, at := range b.Stations() {
		outline = append(outline, r2.Vec{X: v.x(at.X), Y: z(at.Highest())})
	}
	f.lines = append(f.lines, line{outline, edge, true})
	for _, c := range s.Cuts {
		foot, top := r2.Vec{X: c.BoardNear}, r2.Vec{X: c.TopNear, Y: b.Section(c.TopNear).NearHeight}
		from, to, ok := within(foot, top, v.length)
		if !ok {
			continue
		}
		f.lines = append(f.lines, line{[]r2.Vec{{X: v.x(from.X), Y: z(from.Y)}, {X: v.x(to.X), Y: z(to.Y)}}, blade, false})
		f.labels = append(f.labels, number(c.Number, r2.Vec{X: v.x(from.X), Y: f.numberRow(c.Number)}))
	}
	return f
}

// within is the part of a line from x = 0 to the block's length.
func within(a, b r2.Vec, length float64) (from, to r2.Vec, ok bool) {
	lo, hi := 0.0, 1.0
	if d := b.X - a.X; d != 0 {
		s, t := -a.X/d, (length-a.X)/d
		lo, hi = max(lo, min(s, t)), min(hi, max(s, t))
	} else if a.X < 0 || a.X > length {
		return a, b, false
	}
	along := r2.Sub(b, a)
	return r2.Add(a, r2.Scale(lo, along)), r2.Add(a, r2.Scale(hi, along)), lo < hi
}

// fan draws what the block lies on: its outline, and where each cut meets the
// board.
func (s Sheet) fan() figure {
	f := s.fromAbove(under)
	f.lines = slices.DeleteFunc(f.lines, func(l line) bool { return l.stroke == blade })
	for i := range f.lines {
		if f.lines[i].stroke == under {
			f.lines[i].stroke = blade
		}
	}
	return f
}

// numberRow is where the number of a cut stands: in two rows, as cuts may lie
// closer than the numbers are wide.
func (f figure) numberRow(n int) float64 {
	return f.height - 1.5*margin - 1 + 7*float64(n%2)
}

func number(n int, at r2.Vec) label { return label{at, fmt.Sprint(n), true} }

// class is how a page shows a label: a small screen only every fifth number, and large.
func (l label) class() string {
	switch n, err := strconv.Atoi(l.text); {
	case err != nil:
		return "end"
	case n%5 != 0:
		return "between"
	}
	return ""
}

// room is how far a name keeps from the middle of a label, mm.
func (l label) room() float64 {
	if l.class() == "" {
		return 14 // as large as a small screen shows both
	}
	return 2 * ringRadius
}

// free is the place nearest to one, above or below it, that no number covers.
func (f figure) free(at r2.Vec) r2.Vec {
	for off := 0.0; ; off++ {
		for _, place := range []r2.Vec{{X: at.X, Y: at.Y - off}, {X: at.X, Y: at.Y + off}} {
			if !slices.ContainsFunc(f.labels, func(l label) bool { return r2.Norm(r2.Sub(l.at, place)) < l.room() }) {
				return place
			}
		}
	}
}

// endNames names the tail and the head of the block.
func (s Sheet) endNames(v view, y float64) []label {
	left, right := s.Words.Word("end-head"), s.Words.Word("end-tail")
	if s.Tail == plan.Left {
		left, right = right, left
	}
	return []label{{r2.Vec{X: margin / 2, Y: y}, left, false}, {r2.Vec{X: v.length + 1.5*margin, Y: y}, right, false}}
}
