package table

import (
	"fmt"
	"io"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/xuri/excelize/v2"
)

// MaxCell is the longest text that a cell of a spreadsheet holds, in UTF-16
// units (Excel specifications and limits).
const MaxCell = 32767

// WriteXLSX writes tables as the sheets of one workbook. Numbers and dates are
// real ones; a text stays a text whatever it starts with, because the format
// keeps formulas apart. Characters that XML cannot hold become U+FFFD.
func WriteXLSX(w io.Writer, tables ...Table) error {
	f := excelize.NewFile()
	defer f.Close()
	for i, t := range tables {
		if i == 0 {
			if err := f.SetSheetName("Sheet1", t.Name); err != nil {
				return fmt.Errorf("workbook sheet %q: %w", t.Name, err)
			}
		} else if _, err := f.NewSheet(t.Name); err != nil {
			return fmt.Errorf("workbook sheet %q: %w", t.Name, err)
		}
		if err := writeSheet(f, t); err != nil {
			return fmt.Errorf("workbook sheet %q: %w", t.Name, err)
		}
	}
	return f.Write(w)
}

func writeSheet(f *excelize.File, t Table) error {
	bold, err := f.NewStyle(&excelize.Style{Font: &excelize.Font{Bold: true}, Alignment: &excelize.Alignment{WrapText: true, Vertical: "top"}})
	if err != nil {
		return err
	}
	iso := "yyyy-mm-dd"
	day, err := f.NewStyle(&excelize.Style{CustomNumFmt: &iso})
	if err != nil {
		return err
	}
	styles, err := numberStyles(f, t)
	if err != nil {
		return err
	}
	s, err := f.NewStreamWriter(t.Name)
	if err != nil {
		return err
	}
	if err := s.SetPanes(&excelize.Panes{Freeze: true, YSplit: 1, TopLeftCell: "A2", ActivePane: "bottomLeft"}); err != nil {
		return err
	}
	for i, head := range t.Head {
		if err := s.SetColWidth(i+1, i+1, columnWidth(head, i, t.Rows)); err != nil {
			return err
		}
	}
	head := make([]any, len(t.Head))
	for i, h := range t.Head {
		head[i] = excelize.Cell{StyleID: bold, Value: h}
	}
	if err := s.SetRow("A1", head); err != nil {
		return err
	}
	for i, row := range t.Rows {
		cell, err := excelize.CoordinatesToCellName(1, i+2)
		if err != nil {
			return err
		}
		if err := s.SetRow(cell, sheetRow(row, day, styles)); err != nil {
			return err
		}
	}
	return s.Flush()
}

// numberStyles are the styles of the columns that have digits, 0 for the others, so
// that every number of a column shows the same decimals.
func numberStyles(f *excelize.File, t Table) ([]int, error) {
	out := make([]int, len(t.Head))
	for i, head := range t.Head {
		d, ok := t.Digits[head]
		if !ok {
			continue
		}
		format := "0"
		if d.Decimals > 0 {
			format += "." + strings.Repeat("0", d.Decimals)
		}
		var err error
		if out[i], err = f.NewStyle(&excelize.Style{CustomNumFmt: &format}); err != nil {
			return nil, err
		}
	}
	return out, nil
}

func sheetRow(row []any, day int, styles []int) []any {
	out := make([]any, len(row))
	for i, v := range row {
		switch v := plain(v).(type) {
		case string:
			out[i] = xmlText(v)
		case time.Time:
			out[i] = excelize.Cell{StyleID: day, Value: v}
		case float64:
			out[i] = excelize.Cell{StyleID: styles[i], Value: v}
		default:
			out[i] = v
		}
	}
	return out
}

// columnWidth fits the widest of a column's head and texts, within reason.
func columnWidth(head string, column int, rows [][]any) float64 {
	widest := min(utf8.RuneCountInString(head), 14)
	for _, row := range rows {
		if s, ok := row[column].(string); ok {
			widest = max(widest, utf8.RuneCountInString(s))
		}
	}
	return float64(min(max(widest, 8), 50)) + 2
}

// xmlText replaces what XML 1.0 cannot hold.
func xmlText(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\t' || r == '\n' || r == '\r', r >= 0x20 && r <= 0xd7ff, r >= 0xe000 && r <= 0xfffd, r >= 0x10000:
			return r
		}
		return utf8.RuneError
	}, s)
}
