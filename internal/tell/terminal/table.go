package terminal

import (
	"slices"
	"strings"

	"github.com/jedib0t/go-pretty/v6/table"
	"github.com/jedib0t/go-pretty/v6/text"

	"netagauge/internal/core/lines"
)

// Table is a head and rows below it. A cell may have several lines.
type Table struct {
	Head    []string
	Rows    [][]string
	Numbers func(column int) bool // which columns stand right; none where it is nil
	Whole   func(column int) bool // which are broken last, such as names to type
}

// String lays the table out. One that would be too wide has its columns closer
// together, then the widest of them broken at words, then anywhere.
func (t Table) String() string {
	gap := 2
	wide := t.each(widest)
	if sum(wide)+gap*len(wide) > Columns {
		gap = 1
		t.narrow(wide, Columns-gap*len(wide))
	}
	tw := table.NewWriter()
	style := table.StyleDefault
	style.Options = table.OptionsNoBordersAndSeparators
	style.Format.Header = text.FormatDefault // leave the units as they are written
	style.Box.PaddingRight = strings.Repeat(" ", gap-1)
	tw.SetStyle(style)
	var columns []table.ColumnConfig
	for i, w := range wide {
		c := table.ColumnConfig{Number: i + 1, WidthMax: w, WidthMaxEnforcer: within, Align: text.AlignLeft, AlignHeader: text.AlignLeft, VAlignHeader: text.VAlignBottom}
		if t.Numbers != nil && t.Numbers(i) {
			c.Align, c.AlignHeader = text.AlignRight, text.AlignRight
		}
		columns = append(columns, c)
	}
	tw.SetColumnConfigs(columns)
	tw.AppendHeader(row(t.Head))
	for _, r := range t.Rows {
		tw.AppendRow(row(r))
	}
	var out strings.Builder
	for line := range strings.SplitSeq(tw.Render(), "\n") {
		out.WriteString(strings.TrimRight(line, " ") + "\n")
	}
	return out.String()
}

func row(cells []string) (out table.Row) {
	for _, c := range cells {
		out = append(out, c)
	}
	return out
}

// within breaks the lines of a cell that are wider than its column; coloured ones
// are as short as words are and stay.
func within(cell string, columns int) string {
	if widest(cell) <= columns {
		return cell
	}
	return strings.Join(lines.Break(cell, float64(columns), width), "\n")
}

// widest is the width of the widest line of a cell.
func widest(cell string) (w int) {
	for line := range strings.SplitSeq(cell, "\n") {
		w = max(w, Width(line))
	}
	return w
}

// each is the most that the cells of each column give.
func (t Table) each(of func(cell string) int) []int {
	out := make([]int, len(t.Head))
	for _, cells := range append(slices.Clip(t.Rows), t.Head) {
		for i, c := range cells {
			out[i] = max(out[i], of(c))
		}
	}
	return out
}

// narrow takes from the columns until they have room together: where the table grows
// least, while that leaves every word whole; then from the widest.
func (t Table) narrow(wide []int, room int) {
	least := t.each(func(cell string) int { return int(lines.Widest(cell, width)) })
	for i, w := range wide {
		if t.Whole != nil && t.Whole(i) {
			least[i] = w
		}
	}
	rows := append(slices.Clip(t.Rows), t.Head)
	high := make([][]int, len(wide)) // of the cells of each column
	for i, w := range wide {
		high[i] = heights(rows, i, w)
	}
	for sum(wide) > room {
		best, grows := -1, 0
		for i, w := range wide {
			if w <= max(least[i], 2) {
				continue
			}
			now := high[i]
			high[i] = heights(rows, i, w-1)
			if n := tall(high); best < 0 || n < grows || n == grows && w > wide[best] {
				best, grows = i, n
			}
			high[i] = now
		}
		if best < 0 {
			break
		}
		wide[best]--
		high[best] = heights(rows, best, wide[best])
	}
	for sum(wide) > room {
		wide[slices.Index(wide, slices.Max(wide))]--
	}
}

// heights are the lines of each cell of a column that is so wide.
func heights(rows [][]string, column, wide int) []int {
	out := make([]int, len(rows))
	for r, cells := range rows {
		out[r] = strings.Count(within(cells[column], wide), "\n") + 1
	}
	return out
}

// tall is how many lines the table has.
func tall(high [][]int) (n int) {
	for r := range high[0] {
		most := 0
		for _, column := range high {
			most = max(most, column[r])
		}
		n += most
	}
	return n
}

func sum(of []int) (s int) {
	for _, n := range of {
		s += n
	}
	return s
}
