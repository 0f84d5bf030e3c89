// Package lesson draws what the coach teaches: the blade and the block as SVG, in
// the colours of the page that shows it. Drawings show which way to turn and what
// with; their angles are larger than a hand's so that they can be read.
package lesson

import (
	"fmt"
	"html/template"
	"math"
	"strings"
)

// Drawing of the first of some keys that has one, of a lesson or of a step of it
// (coach.Lesson), with a label for those who do not see it; empty where none has.
func Drawing(label string, keys ...string) template.HTML {
	parts := ""
	for i := 0; parts == "" && i < len(keys); i++ {
		parts = drawings[keys[i]]
	}
	if parts == "" {
		return ""
	}
	return template.HTML(fmt.Sprintf(`<svg class="draw" viewBox="0 0 116 100" role="img" aria-label="%s">%s</svg>`, template.HTMLEscapeString(label), parts))
}

// drawings by step, and by lesson where its steps do not tell it from others. The block is
// seen along the knife where the lay matters, and from above where the cut across it does.
var drawings = map[string]string{
	"do-up": lay(36, 62), "do-flat": lay(64, 38), "do-last-cut": lay(50, 50),
	"do-across": across(34, 62), "do-along": across(62, 34), "do-turn-on": across(62, 38),
	"do-further": step(16, 28), "do-closer": step(28, 14), "do-follow": taper(),
	"do-keen": pull(), "do-koba": koba(), "do-level": level(),
	"weights-even": even(62), "lengths-even": even(50),
	"do-open": book(), "do-aside": aside(),
	"pile-flat": pile(), "pile-upright": row(),
}

// The parts that drawings are made of.
const (
	board = `<path class="hair" d="M0 87h116"/>`
	bar   = `<path class="flesh" d="M6 50q0-4 4-4h96q4 0 4 4v36H6Z"/>`
	above = `<path class="flesh" d="M4 30q0-4 4-4h100q4 0 4 4v40q0 4-4 4H8q-4 0-4-4Z"/>`
)

// at is the point k from an edge in a direction, degrees upwards from the right.
func at(x, y, deg, k float64) (float64, float64) {
	s, c := math.Sincos(deg * math.Pi / 180)
	return x + k*c, y - k*s
}

// blade is a knife seen along its length, its edge at a point.
func blade(x, y, deg, long float64) string {
	ax, ay := at(x, y, deg+2.2, long)
	bx, by := at(x, y, deg-2.2, long)
	return fmt.Sprintf(`<path class="steel" d="M%.1f %.1fL%.1f %.1f %.1f %.1fZ"/>`, x, y, ax, ay, bx, by)
}

// dashed is a line from a point, as it was before.
func dashed(x, y, deg, long float64) string {
	ax, ay := at(x, y, deg, long)
	return fmt.Sprintf(`<path class="was" d="M%.1f %.1fL%.1f %.1f"/>`, x, y, ax, ay)
}

// arc is an arrow about a point from one direction to another.
func arc(x, y, from, to, r float64) string {
	up := math.Copysign(1, to-from)
	sweep := 1
	if up > 0 {
		sweep = 0
	}
	end := to - 7*up
	ax, ay := at(x, y, from, r)
	bx, by := at(x, y, end, r)
	hx, hy := at(x, y, end-8*up, r-6)
	kx, ky := at(x, y, end-8*up, r+6)
	return fmt.Sprintf(`<path class="move" d="M%.1f %.1fA%g %g 0 0 %d %.1f %.1fM%.1f %.1fL%.1f %.1f %.1f %.1f"/>`, ax, ay, r, r, sweep, bx, by, hx, hy, bx, by, kx, ky)
}

// arrow is a straight one.
func arrow(x0, y0, x1, y1 float64) string {
	deg := math.Atan2(y0-y1, x1-x0) * 180 / math.Pi
	hx, hy := at(x1, y1, deg+150, 9)
	kx, ky := at(x1, y1, deg-150, 9)
	return fmt.Sprintf(`<path class="move" d="M%.1f %.1fL%.1f %.1fM%.1f %.1fL%.1f %.1f %.1f %.1f"/>`, x0, y0, x1, y1, hx, hy, x1, y1, kx, ky)
}

// lay is the blade leaning over the block as it was and as it should be; the same
// twice is a blade held so through three cuts.
func lay(was, now float64) string {
	if was == now {
		var b strings.Builder
		b.WriteString(bar + board)
		for i := range 3 {
			b.WriteString(dashed(10+20*float64(i), 86, now, 50))
		}
		return b.String() + blade(72, 86, now, 66) + arrow(18, 22, 60, 22)
	}
	return bar + board + dashed(20, 86, was, 86) + blade(20, 86, now, 86) + arc(20, 86, was, now, 70)
}

// across is the cut across the block seen from above.
func across(was, now float64) string {
	const x, y = 34, 82
	return above + dashed(x, y, was, 84) + blade(x, y, now, 84) + arc(x, y, was, now, 70)
}

// step is the distance of the next cut from the last one.
func step(was, now float64) string {
	const lean = 58
	return bar + board + fmt.Sprintf(`<path class="hair" d="M24 86L%.1f 46"/>`, 24+40/math.Tan(lean*math.Pi/180)) +
		dashed(24+was, 86, lean, 48) + blade(24+now, 86, lean, 82) + arrow(28, 95, 24+now, 95)
}

// even are cuts at one distance, seen from above, and the fingertips that hold.
func even(deg float64) string {
	var b strings.Builder
	b.WriteString(above)
	for i := range 2 {
		b.WriteString(dashed(10+18*float64(i), 76, deg, 58))
	}
	b.WriteString(blade(46, 80, deg, 66))
	for i := range 3 { // fingertips behind the blade
		fmt.Fprintf(&b, `<circle class="hair" cx="%d" cy="%d" r="5"/>`, 104-6*i, 40+13*i)
	}
	return b.String()
}

// taper is a block that is low on one side: flatter there, steeper where it is high.
func taper() string {
	return `<path class="flesh" d="M6 72 104 38q6-2 6 4v44H6Z"/>` + board + blade(12, 86, 24, 52) + blade(66, 86, 62, 66) + arc(66, 86, 26, 58, 46)
}

// pull is one long stroke.
func pull() string { return above + blade(26, 84, 58, 90) + arrow(66, 90, 96, 42) }

// koba is a cut that ends upright.
func koba() string {
	return bar + board + `<path class="was" d="M92 46 52 72V86"/>` + blade(52, 86, 90, 78) + arrow(36, 62, 36, 82)
}

// level is a blade whose heel and tip lie equally high over the last cut.
func level() string {
	return `<path class="flesh" d="M6 62h104v24H6Z"/>` + board + `<path class="was" d="M8 56 108 34"/><path class="steel" d="M4 52h92l14 5H4Z"/>` + arrow(100, 38, 100, 48)
}

// book is a slice cut almost through and folded open.
func book() string {
	return `<path class="flesh" d="M10 40h44v40H10Z"/><path class="was" d="M54 40h44v40H54Z"/><path class="hair" d="M54 34v52"/>` + arc(54, 44, 160, 30, 26)
}

// aside is a small piece beside the others.
func aside() string {
	return `<path class="was" d="M8 26h52v24H8ZM8 58h52v24H8Z"/><path class="flesh" d="M70 62h18v16H70Z"/>` + arrow(80, 54, 104, 28)
}

// pile is five slices flat on each other, the step (koba) of each up.
func pile() string {
	out := board
	for i := range 5 {
		x, y := 16+3*float64(i), 78-9*float64(i)
		out += fmt.Sprintf(`<path class="flesh" d="M%.0f %.0fh60v3h8v6h-68Z"/>`, x, y)
	}
	return out
}

// row is five slices upright beside each other, the step (koba) of each on the board.
func row() string {
	out := board
	for i := range 5 {
		x := 18 + 16*float64(i)
		out += fmt.Sprintf(`<path class="flesh" d="M%.0f 32h9v55h-6v-9h-3Z"/>`, x)
	}
	return out
}
