// Package table holds tables and writes them as CSV and XLSX. Cells are texts, numbers,
// truth values and dates; a number that is not known is nil and leaves its cell
// empty. It rounds and judges nothing, and lets no text become a formula.
package table

import (
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"time"

	"netagauge/internal/core/uncertainty"
)

// Table is one sheet: a name, the head of each column with its unit, and rows
// of cells.
type Table struct {
	Name string
	Head []string
	Rows [][]any
	// Digits are the decimals of the columns that are rounded when the table is, by
	// the column's head.
	Digits map[string]Digits
}

// Digits are how a column is rounded.
type Digits struct {
	Decimals int
	Up       bool // an uncertainty, which is rounded up
}

// Rounded are the tables with every column that has digits rounded to them, once,
// from the full value.
func Rounded(tables []Table) []Table {
	out := make([]Table, len(tables))
	for i, t := range tables {
		out[i] = t
		out[i].Rows = nil
		for _, row := range t.Rows {
			out[i].Add(t.rounded(row)...)
		}
	}
	return out
}

func (t *Table) rounded(row []any) []any {
	out := make([]any, len(row))
	for i, v := range row {
		out[i] = plain(v)
		d, ok := t.Digits[t.Head[i]]
		x, number := out[i].(float64)
		switch {
		case !ok || !number:
		case d.Up:
			out[i] = uncertainty.RoundUp(x, d.Decimals)
		default:
			out[i] = uncertainty.Round(x, d.Decimals)
		}
	}
	return out
}

// Add appends a row.
func (t *Table) Add(cells ...any) { t.Rows = append(t.Rows, cells) }

// WriteCSV writes one table as RFC 4180.
func WriteCSV(w io.Writer, t Table) error {
	out := NewCSV(w)
	out.Head(t.Head)
	for _, row := range t.Rows {
		out.Row(row)
	}
	return out.Close()
}

// CSV writes rows as RFC 4180 one at a time. The first error stays, and Close
// returns it.
type CSV struct {
	w   *csv.Writer
	err error
}

// NewCSV starts a table on w.
func NewCSV(w io.Writer) *CSV {
	out := csv.NewWriter(w)
	out.UseCRLF = true
	return &CSV{w: out}
}

// Head writes the names of the columns.
func (c *CSV) Head(names []string) { c.write(names) }

// Row writes one row of cells.
func (c *CSV) Row(cells []any) {
	row := make([]string, len(cells))
	for i, v := range cells {
		text, err := cellText(v)
		if err != nil && c.err == nil {
			c.err = err
		}
		row[i] = text
	}
	c.write(row)
}

func (c *CSV) write(row []string) {
	if c.err == nil {
		c.err = c.w.Write(row)
	}
}

// Close writes what is left and returns the first error.
func (c *CSV) Close() error {
	c.w.Flush()
	if c.err != nil {
		return c.err
	}
	return c.w.Error()
}

// lineEnds makes line ends alike: the CSV writer would drop a lone return.
var lineEnds = strings.NewReplacer("\r\n", "\n", "\r", "\n")

// cellText is a cell as CSV has it. Dates are YYYY-MM-DD.
func cellText(v any) (string, error) {
	switch v := plain(v).(type) {
	case nil:
		return "", nil
	case string:
		return lineEnds.Replace(Guard(v)), nil
	case bool:
		return strconv.FormatBool(v), nil
	case int:
		return strconv.Itoa(v), nil
	case int64:
		return strconv.FormatInt(v, 10), nil
	case float64:
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return "", fmt.Errorf("a number that is not finite cannot be written to a table")
		}
		return strconv.FormatFloat(v, 'f', -1, 64), nil
	case time.Time:
		return v.Format(time.DateOnly), nil
	default:
		return "", fmt.Errorf("a table has no cell for a %T", v)
	}
}

// plain follows a pointer to a number; nil means that it is not known.
func plain(v any) any {
	if p, ok := v.(*float64); ok {
		if p == nil {
			return nil
		}
		return *p
	}
	return v
}

// Guard keeps a spreadsheet from running a text as a formula: one that starts,
// spaces apart, with a character that opens a formula gets a leading
// apostrophe. Other texts come back as they are.
func Guard(s string) string {
	const opens = "=+-@\t\r\n＝＋－＠"
	rest := strings.TrimLeft(s, " ")
	if rest != "" && strings.ContainsRune(opens, []rune(rest)[0]) {
		return "'" + s
	}
	return s
}
