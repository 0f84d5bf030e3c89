package handout

import "strings"

// column of a table in the PDF: its head, width in mm, and whether its cells
// are texts, which stand left. One column of width 0 takes what is left.
type column struct {
	head string
	wide float64
	text bool
}

const (
	rowHigh  = 4.6 // mm a line
	cellSize = 8.5 // points
	leastFit = 5.5 // points, of a word that would not fit its cell else
	cellGap  = 2.4 // mm between columns
)

// joinLines makes the lines of one cell.
func joinLines(lines []string) string { return strings.Join(lines, "\n") }

// table writes rows below each other, the head again on each page.
func (d *doc) table(columns []column, rows [][]string) error {
	d.SetDrawColor(165, 165, 165)
	d.SetLineWidth(0.15)
	page, _ := d.GetPageSize()
	left := page - 2*pdfMargin
	for _, c := range columns {
		left -= c.wide
	}
	heads := make([]string, len(columns))
	for i, c := range columns {
		heads[i] = c.head
		if c.wide == 0 {
			columns[i].wide = left
		}
	}
	d.room(3 * rowHigh)
	if err := d.row(columns, heads, "B", nil); err != nil {
		return err
	}
	for _, r := range rows {
		if err := d.row(columns, r, "", heads); err != nil {
			return err
		}
	}
	d.SetXY(pdfMargin, d.GetY()+1)
	return d.Error()
}

// cell is a wrapped text and the size that keeps its longest word whole.
type cell struct {
	lines []string
	size  float64
}

// cell fits a text into its width: the longest word of a text that wraps, each line
// of one that does not.
func (d *doc) cell(s string, wide float64, bold, wraps bool) cell {
	out := cell{size: cellSize}
	lines := strings.Split(s, "\n")
	widest := func() (w float64) {
		for _, line := range lines {
			if wraps {
				w = max(w, d.Widest(basic(line)))
			} else {
				w = max(w, d.Width(basic(line)))
			}
		}
		return w
	}
	d.Use(bold, out.size)
	for out.size > leastFit && widest() > wide {
		out.size -= 0.25
		d.Use(bold, out.size)
	}
	for _, line := range lines {
		out.lines = append(out.lines, d.wrap(line, wide, rowHigh)...)
	}
	return out
}

// row writes one row as tall as its longest cell; again is the head to repeat
// on a new page.
func (d *doc) row(columns []column, texts []string, style string, again []string) error {
	bold := style == "B"
	cells, most := make([]cell, len(texts)), 1
	for i, c := range columns {
		cells[i] = d.cell(texts[i], c.wide-cellGap, bold, c.text || bold)
		most = max(most, len(cells[i].lines))
	}
	high := float64(most) * rowHigh
	if d.room(high) && again != nil {
		if err := d.row(columns, again, "B", nil); err != nil {
			return err
		}
	}
	x, y := pdfMargin, d.GetY()
	for i, c := range columns {
		d.Use(bold, cells[i].size)
		for n, line := range cells[i].lines {
			at := x
			if !c.text {
				at = x + c.wide - cellGap - d.Width(line)
			}
			if err := d.text(at, y+float64(n)*rowHigh, rowHigh, []string{line}); err != nil {
				return err
			}
		}
		x += c.wide
	}
	d.Line(pdfMargin, y+high, x, y+high)
	d.SetXY(pdfMargin, y+high)
	return d.Error()
}
