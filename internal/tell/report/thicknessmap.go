package report

import (
	"fmt"
	"html/template"
	"math"
	"strings"

	"netagauge/internal/core/piece"
	"netagauge/internal/core/uncertainty"
)

// How the picture of a thickness map is drawn.
const (
	mapReach  = 1.5  // mm off the mean: beyond, the colour stays
	mapStep   = 0.25 // mm to a colour
	mapMargin = 2.0  // mm around the slice
	mapScale  = 2.2  // px to the mm

	// what a mean takes to either side of its place, mm
	mapLabelWide, mapLabelHigh = 11.0, 4.0
)

// ThicknessPicture is an SVG of a slice as it lies on the mat, the thicker the
// darker, with the mean thickness of both ends in mm; empty where no map is
// known. Colours count from the slice's mean, so that an even slice is plain.
// The id must be of its own on the page; the title says the same in words.
func ThicknessPicture(p piece.Piece, id, title string) template.HTML {
	m := p.ThicknessMap
	if m == nil || !p.Thickness.Known || len(p.Outline) < 3 {
		return ""
	}
	var b strings.Builder
	lo, hi := p.Box()
	ends := m.Ends()
	for _, e := range ends { // a label near the rim is not cut off
		lo[0], hi[0] = math.Min(lo[0], e.At[0]-mapLabelWide), math.Max(hi[0], e.At[0]+mapLabelWide)
		lo[1], hi[1] = math.Min(lo[1], e.At[1]-mapLabelHigh), math.Max(hi[1], e.At[1]+mapLabelHigh)
	}
	wide, high := hi[0]-lo[0]+2*mapMargin, hi[1]-lo[1]+2*mapMargin
	fmt.Fprintf(&b, `<svg class="thickness" role="img" width="%.0f" height="%.0f" viewBox="%.1f %.1f %.1f %.1f"><title>%s</title>`,
		mapScale*wide, mapScale*high, lo[0]-mapMargin, lo[1]-mapMargin, wide, high, template.HTMLEscapeString(title))
	fmt.Fprintf(&b, `<clipPath id="%s"><polygon points="%s"/></clipPath><g clip-path="url(#%s)">`, template.HTMLEscapeString(id), polygonPoints(p.Outline), template.HTMLEscapeString(id))
	for row, cells := range m.Thickness {
		for col, t := range cells {
			if t != nil {
				fmt.Fprintf(&b, `<polygon points="%s" fill="%s"/>`, polygonPoints(cellOf(m, col, row)), shade(*t-p.Thickness.X))
			}
		}
	}
	fmt.Fprintf(&b, `</g><polygon points="%s" fill="none" stroke="currentColor" stroke-width="0.7"/>`, polygonPoints(p.Outline))
	for _, e := range ends {
		fmt.Fprintf(&b, `<text x="%.1f" y="%.1f" font-size="7" font-weight="700" text-anchor="middle" fill="#000" stroke="#fff" stroke-width="1.6" paint-order="stroke">%s<tspan font-size="5" stroke-width="1.2"> mm</tspan></text>`,
			e.At[0], e.At[1]+2.5, uncertainty.Decimal(e.Mean, 1))
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

// cellOf is the outline of one cell, a hair wider so that no gaps show.
func cellOf(m *piece.ThicknessMap, col, row int) [][2]float64 {
	var out [][2]float64
	for _, c := range [4][2]float64{{-.52, -.52}, {.52, -.52}, {.52, .52}, {-.52, .52}} {
		out = append(out, m.At(float64(col)+c[0], float64(row)+c[1]))
	}
	return out
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
