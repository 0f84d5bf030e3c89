package class

import (
	"encoding/csv"
	"errors"
	"io"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/textfile"
)

// sheet is a table that a person filled in, as CSV from a spreadsheet: rows by the
// names of their columns, without the spaces around cells.
type sheet struct {
	in      *csv.Reader
	columns map[string]int
	comma   bool // decimals are written with a comma
}

// sheetRow is a row with its line in the file.
type sheetRow struct {
	line  int
	cells map[string]string
}

// readSheet reads CSV with a head line that names the columns, in any order. Cells
// are parted by commas, semicolons, as spreadsheets write where a comma stands in
// decimals, or tabs: whichever the head line has. The columns needed must be there,
// others of the sheet are read when they are among the optional ones.
func readSheet(text string, needed, optional []string) ([]sheetRow, sheet, error) {
	s := sheet{columns: map[string]int{}}
	if !utf8.ValidString(text) {
		return nil, s, phrase.Wrong("sheet-utf8")
	}
	text = strings.TrimPrefix(text, "\ufeff")
	s.in = csv.NewReader(strings.NewReader(text))
	s.in.Comma = parting(text)
	s.comma = s.in.Comma == ';'
	head, err := s.in.Read()
	switch {
	case errors.Is(err, io.EOF):
		return nil, s, phrase.Wrong("sheet-no-head", strings.Join(slices.Concat(needed, optional), ","))
	case err != nil:
		return nil, s, broken(err)
	}
	for i, h := range head {
		if name := key(h); slices.Contains(needed, name) || slices.Contains(optional, name) {
			s.columns[name] = i
		}
	}
	for _, name := range needed {
		if _, there := s.columns[name]; !there {
			return nil, s, phrase.Wrong("sheet-head", strconv.Quote(strings.Join(head, ",")), strings.Join(needed, ", "))
		}
	}
	rows, err := s.rows()
	return rows, s, err
}

// parting is the character between the cells of the head line.
func parting(text string) rune {
	head, _, _ := strings.Cut(text, "\n")
	best := ','
	for _, c := range ";\t" {
		if strings.Count(head, string(c)) > strings.Count(head, string(best)) {
			best = c
		}
	}
	return best
}

func (s *sheet) rows() (rows []sheetRow, err error) {
	for {
		cells, err := s.in.Read()
		if errors.Is(err, io.EOF) {
			return rows, nil
		}
		if err != nil {
			return nil, broken(err)
		}
		r := sheetRow{cells: map[string]string{}}
		r.line, _ = s.in.FieldPos(0)
		for name, i := range s.columns {
			r.cells[name] = strings.TrimSpace(cells[i])
		}
		rows = append(rows, r)
	}
}

// number is a cell with a decimal comma made a point. Where semicolons part the cells
// no comma parts thousands.
func (s *sheet) number(cell string) string {
	if s.comma && !strings.Contains(cell, ":") {
		return strings.ReplaceAll(cell, ",", ".")
	}
	return textfile.Decimal(cell)
}

// broken is what the CSV reader could not read, by its line.
func broken(err error) error {
	var bad *csv.ParseError
	if !errors.As(err, &bad) {
		return err
	}
	name := "sheet-quote"
	if errors.Is(bad.Err, csv.ErrFieldCount) {
		name = "sheet-cells"
	}
	return &phrase.Error{Says: phrase.Of(name, float64(bad.Line)), Cause: err}
}
