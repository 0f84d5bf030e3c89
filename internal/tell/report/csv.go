package report

import (
	"encoding/csv"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/core/table"
)

// csvHeader names the columns; units are part of the names.
var csvHeader = slices.Concat([]string{"file", "status", "piece", "state", "verdict"}, piece.Columns(),
	[]string{"estimates", "triangular", "koba", "faults", "advice", "standard", "species", "problems"}, piece.FactColumns())

// CSV writes reports as RFC 4180 with a header and one row per piece. A photo
// without pieces, such as a refused one, has one row with its problems.
func CSV(w io.Writer, reports ...piece.Tray) error {
	out := csv.NewWriter(w)
	out.UseCRLF = true
	if err := out.Write(csvHeader); err != nil {
		return err
	}
	for _, r := range reports {
		r, err := rounded(r, Printable)
		if err != nil {
			return err
		}
		for _, row := range csvRows(r) {
			if err := out.Write(row); err != nil {
				return err
			}
		}
	}
	out.Flush()
	return out.Error()
}

func csvRows(r piece.Tray) [][]string {
	if len(r.Pieces) == 0 {
		return [][]string{csvRow(r, nil)}
	}
	var rows [][]string
	for i := range r.Pieces {
		rows = append(rows, csvRow(r, &r.Pieces[i]))
	}
	return rows
}

// csvRow fills the columns by name, so that the header alone sets their order.
func csvRow(r piece.Tray, p *piece.Piece) []string {
	cells := map[string]string{
		"file": table.Guard(r.Photo.File), "status": string(r.Status),
		"standard": table.Guard(r.Standard), "species": table.Guard(r.Species),
		"problems": table.Guard(problemsText(r)),
	}
	for _, f := range r.Facts {
		cells[piece.FactColumn(f.What)] = table.Guard(f.Value)
	}
	if p != nil {
		cells["piece"], cells["state"] = strconv.Itoa(p.Number), string(p.State)
		if p.State == piece.Measured {
			csvMeasures(cells, *p)
		}
	}
	row := make([]string, len(csvHeader))
	for i, name := range csvHeader {
		row[i] = cells[name]
	}
	return row
}

func csvMeasures(cells map[string]string, p piece.Piece) {
	cells["verdict"] = string(p.Verdict)
	known := map[string]any{}
	p.Cells(known)
	for name, v := range known {
		cells[name] = strconv.FormatFloat(v.(float64), 'f', -1, 64)
	}
	cells["estimates"] = strings.Join(p.Estimates(), " ")
	cells["triangular"] = strconv.FormatBool(p.Triangular)
	if p.Koba != nil {
		cells["koba"] = strconv.FormatBool(*p.Koba)
	}
	var faults, advice []string
	for _, f := range p.Faults {
		faults = append(faults, Words{phrase.English()}.sentence(f))
		if f.Advice != "" {
			advice = append(advice, f.Advice)
		}
	}
	cells["faults"] = table.Guard(strings.Join(faults, "; "))
	cells["advice"] = table.Guard(strings.Join(advice, "; "))
}

func problemsText(r piece.Tray) string {
	var out []string
	for _, p := range r.Problems {
		out = append(out, fmt.Sprintf("%s: %s", p.Code, p.Message))
	}
	return strings.Join(out, "; ")
}
