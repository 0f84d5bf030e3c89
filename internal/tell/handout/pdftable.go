package handout

// column of a table in the PDF: its head, width in mm, and whether its cells
// are texts, which stand left and wrap.
type column struct {
	head string
	wide float64
	text bool
}

const rowHigh = 4.6 // mm a line

// table writes rows below each other, the head again on each page.
func (d *doc) table(columns []column, rows [][]string) error {
	d.SetDrawColor(165, 165, 165)
	d.SetLineWidth(0.15)
	heads := make([]string, len(columns))
	for i, c := range columns {
		heads[i] = c.head
	}
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

// row writes one row as tall as its longest cell; again is the head to repeat
// on a new page.
func (d *doc) row(columns []column, cells []string, style string, again []string) error {
	d.SetFont("go", style, 8.5)
	lines, most := make([][]string, len(cells)), 1
	for i, c := range columns {
		lines[i] = []string{basic(cells[i])}
		if c.text {
			lines[i] = d.wrap(cells[i], c.wide-2, rowHigh)
		}
		most = max(most, len(lines[i]))
	}
	high := float64(most) * rowHigh
	if d.room(high) && again != nil {
		if err := d.row(columns, again, "B", nil); err != nil {
			return err
		}
		d.SetFont("go", style, 8.5)
	}
	x, y := pdfMargin, d.GetY()
	for i, c := range columns {
		at := x
		if !c.text {
			at = x + c.wide - 2 - d.GetStringWidth(lines[i][0])
		}
		if err := d.text(at, y, rowHigh, lines[i]); err != nil {
			return err
		}
		x += c.wide
	}
	d.Line(pdfMargin, y+high, x, y+high)
	d.SetXY(pdfMargin, y+high)
	return d.Error()
}
