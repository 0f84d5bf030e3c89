package matpdf

import (
	"strconv"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/see/mat"
)

// mat starts a page and draws everything but a label.
func (p page) mat() {
	p.pdf.AddPage()
	f := p.l.FieldColor
	p.pdf.SetFillColor(int(f.R), int(f.G), int(f.B))
	p.box(p.l.Field)
	for _, t := range p.l.Tags {
		p.tag(t)
	}
	for _, patch := range p.l.Patches {
		p.gray(patch.Gray)
		p.box(patch.Box)
	}
	p.gray(0)
	for _, r := range p.l.Rulers {
		for _, tick := range r.Ticks() {
			p.box(tick)
		}
	}
	p.numbers()
	p.checkBar(p.l.CheckBar)
	p.margin()
}

// numbers stand beside the tips of the tenth ticks, clear of the next fifth one.
func (p page) numbers() {
	p.pdf.SetTextColor(0, 0, 0)
	for _, r := range p.l.Rulers {
		for mm, tip := range r.Numbers() {
			s := strconv.Itoa(mm)
			if r.Grow.X != 0 {
				p.text(tip.X-digitWide*numberLetter*float64(len(s)), tip.Y+numberLetter, false, numberLetter, s)
			} else {
				p.text(tip.X+0.4, tip.Y+numberLetter-0.5, false, numberLetter, s)
			}
		}
	}
}

// numberLetter is the size of a ruler's numbers, mm, and digitWide the width of a
// digit over it in Liberation Sans.
const (
	numberLetter = 1.7
	digitWide    = 0.556
)

func (p page) gray(v uint8) { p.pdf.SetFillColor(int(v), int(v), int(v)) }

func (p page) box(b r2.Box) {
	s := b.Size()
	p.pdf.Rect(b.Min.X, b.Min.Y, s.X, s.Y, "F")
}

// tag draws the black square and the white modules on it.
func (p page) tag(t mat.Tag) {
	square := r2.Box{Min: t.Corners[0], Max: t.Corners[2]}
	p.gray(0)
	p.box(square)
	p.gray(255)
	n := len(t.Modules)
	p.cells(square, n, n, func(col, row int) bool { return t.Modules[row][col] == '1' })
}

// cells fills the set cells of a grid over b. Each longest run is filled in one
// piece, across and down, so that no hairline shows between two cells when a
// viewer smooths edges.
func (p page) cells(b r2.Box, cols, rows int, set func(col, row int) bool) {
	cell := r2.Vec{X: b.Size().X / float64(cols), Y: b.Size().Y / float64(rows)}
	fill := func(c0, r0, c1, r1 int) {
		p.box(r2.NewBox(
			b.Min.X+float64(c0)*cell.X, b.Min.Y+float64(r0)*cell.Y,
			b.Min.X+float64(c1)*cell.X, b.Min.Y+float64(r1)*cell.Y))
	}
	for r := range rows {
		runs(cols, func(c int) bool { return set(c, r) }, func(from, to int) { fill(from, r, to, r+1) })
	}
	for c := range cols {
		runs(rows, func(r int) bool { return set(c, r) }, func(from, to int) {
			if to-from > 1 {
				fill(c, from, c+1, to)
			}
		})
	}
}

// runs calls found with every longest half-open run of set places in 0..n.
func runs(n int, set func(int) bool, found func(from, to int)) {
	for i := 0; i < n; i++ {
		from := i
		for i < n && set(i) {
			i++
		}
		if i > from {
			found(from, i)
		}
	}
}

// Half the thickness of the check bar, and the size of its end caps.
const (
	barHalf = 0.25
	capHalf = 1.5
	capWide = 0.4
)

func (p page) checkBar(b mat.CheckBar) {
	p.gray(0)
	y := b.From.Y
	p.box(r2.NewBox(b.From.X, y-barHalf, b.To.X, y+barHalf))
	p.box(r2.NewBox(b.From.X, y-capHalf, b.From.X+capWide, y+capHalf))
	p.box(r2.NewBox(b.To.X-capWide, y-capHalf, b.To.X, y+capHalf))
}
