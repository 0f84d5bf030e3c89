package report

import (
	"fmt"
	"html/template"
	"math"
	"strings"
)

// How the picture of a thickness map is drawn.
const (
	mapReach  = 1.5  // mm off the mean: beyond, the colour stays
	mapStep   = 0.25 // mm to a colour
	mapMargin = 2.0  // mm around the slice
	mapScale  = 2.2  // px to the mm
	endShare  = 0.2  // of the slice's length: what counts as its end
)

// ThicknessPicture is an SVG of a slice as it lies on the mat, the thicker the
// darker, with the mean thickness of both ends in mm; empty where no map is
// known. Colours count from the slice's mean, so that an even slice is plain.
// The id must be of its own on the page; the title says the same in words.
func ThicknessPicture(p Piece, id, title string) template.HTML {
	m := p.ThicknessMap
	if m == nil || p.Thickness == nil || len(p.Outline) < 3 {
		return ""
	}
	var b strings.Builder
	lo, hi := bounding(p.Outline)
	wide, high := hi[0]-lo[0]+2*mapMargin, hi[1]-lo[1]+2*mapMargin
	fmt.Fprintf(&b, `<svg class="thickness" role="img" width="%.0f" height="%.0f" viewBox="%.1f %.1f %.1f %.1f"><title>%s</title>`,
		mapScale*wide, mapScale*high, lo[0]-mapMargin, lo[1]-mapMargin, wide, high, template.HTMLEscapeString(title))
	fmt.Fprintf(&b, `<clipPath id="%s"><polygon points="%s"/></clipPath><g clip-path="url(#%s)">`, template.HTMLEscapeString(id), polygonPoints(p.Outline), template.HTMLEscapeString(id))
	for row, cells := range m.Thickness {
		for col, t := range cells {
			if t != nil {
				fmt.Fprintf(&b, `<polygon points="%s" fill="%s"/>`, polygonPoints(m.cell(col, row)), shade(*t-*p.Thickness))
			}
		}
	}
	fmt.Fprintf(&b, `</g><polygon points="%s" fill="none" stroke="currentColor" stroke-width="0.7"/>`, polygonPoints(p.Outline))
	for _, e := range m.ends() {
		fmt.Fprintf(&b, `<text x="%.1f" y="%.1f" font-size="7" font-weight="700" text-anchor="middle" fill="#000" stroke="#fff" stroke-width="1.6" paint-order="stroke">%s</text>`,
			e.at[0], e.at[1]+2.5, decimal(e.mean, 1))
	}
	b.WriteString(`</svg>`)
	return template.HTML(b.String())
}

// shade is the colour of what is so much thicker than the mean, mm: from light to
// dark in one hue, which any colour vision reads.
func shade(off float64) string {
	steps := math.Round(mapReach / mapStep)
	f := (math.Max(-steps, math.Min(steps, math.Round(off/mapStep)))/steps + 1) / 2
	mix := func(thin, thick float64) int { return int(math.Round(thin + f*(thick-thin))) }
	return fmt.Sprintf("#%02x%02x%02x", mix(236, 12), mix(243, 62), mix(248, 110))
}

// cell is the outline of one cell, a hair wider so that no gaps show.
func (m *ThicknessMap) cell(col, row int) [][2]float64 {
	var out [][2]float64
	for _, c := range [4][2]float64{{-.52, -.52}, {.52, -.52}, {.52, .52}, {-.52, .52}} {
		out = append(out, m.at(float64(col)+c[0], float64(row)+c[1]))
	}
	return out
}

func (m *ThicknessMap) at(col, row float64) [2]float64 {
	return [2]float64{m.First[0] + col*m.Along[0] + row*m.Across[0], m.First[1] + col*m.Along[1] + row*m.Across[1]}
}

// end is one end of a slice: the middle of its cells and their mean.
type end struct {
	at   [2]float64
	mean float64
}

// ends are the first and the last fifth of the slice's length.
func (m *ThicknessMap) ends() []end {
	first, last := m.reach()
	part := endShare * float64(last-first+1)
	var out []end
	for _, in := range []func(col int) bool{
		func(col int) bool { return float64(col-first) < part },
		func(col int) bool { return float64(last-col) < part },
	} {
		var e end
		var n float64
		for row, cells := range m.Thickness {
			for col, t := range cells {
				if t != nil && in(col) {
					at := m.at(float64(col), float64(row))
					e.at[0], e.at[1], e.mean, n = e.at[0]+at[0], e.at[1]+at[1], e.mean+*t, n+1
				}
			}
		}
		if n > 0 {
			out = append(out, end{[2]float64{e.at[0] / n, e.at[1] / n}, e.mean / n})
		}
	}
	return out
}

// reach is the first and the last column with a cell on the slice.
func (m *ThicknessMap) reach() (first, last int) {
	first = math.MaxInt
	for _, cells := range m.Thickness {
		for col, t := range cells {
			if t != nil {
				first, last = min(first, col), max(last, col)
			}
		}
	}
	return first, last
}

// Ends are the mean thicknesses at both ends, mm; false where the map is too
// small to tell, or none.
func (m *ThicknessMap) Ends() (one, other float64, ok bool) {
	if m == nil {
		return 0, 0, false
	}
	ends := m.ends()
	if len(ends) < 2 {
		return 0, 0, false
	}
	return ends[0].mean, ends[1].mean, true
}

func polygonPoints(o [][2]float64) string {
	var b strings.Builder
	for i, p := range o {
		if i > 0 {
			b.WriteByte(' ')
		}
		fmt.Fprintf(&b, "%.1f,%.1f", p[0], p[1])
	}
	return b.String()
}

func bounding(o [][2]float64) (lo, hi [2]float64) {
	lo, hi = o[0], o[0]
	for _, p := range o {
		for k := range 2 {
			lo[k], hi[k] = math.Min(lo[k], p[k]), math.Max(hi[k], p[k])
		}
	}
	return lo, hi
}
