package report

import (
	"encoding/csv"
	"fmt"
	"io"
	"strconv"
	"strings"
)

// csvHeader names the columns; units are part of the names.
var csvHeader = []string{
	"file", "status", "piece", "state", "verdict",
	"length_mm", "length_u_mm", "width_mm", "width_u_mm", "area_mm2", "area_u_mm2",
	"thickness_mm", "weight_g", "weight_u_g", "rice_cover", "rice_cover_u", "taper",
	"triangular", "koba", "faults", "advice", "standard", "species", "problems",
}

// CSV writes reports as RFC 4180 with a header and one row per piece. A photo
// without pieces, such as a refused one, has one row with its problems.
func CSV(w io.Writer, reports ...Report) error {
	out := csv.NewWriter(w)
	out.UseCRLF = true
	if err := out.Write(csvHeader); err != nil {
		return err
	}
	for _, r := range reports {
		r, err := rounded(r, printable)
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

func csvRows(r Report) [][]string {
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
func csvRow(r Report, p *Piece) []string {
	cells := map[string]string{
		"file": guardCell(r.Photo.File), "status": string(r.Status),
		"standard": guardCell(r.Standard), "species": guardCell(r.Species),
		"problems": guardCell(problemsText(r)),
	}
	if p != nil {
		cells["piece"], cells["state"] = strconv.Itoa(p.Number), string(p.State)
		if p.State == PieceMeasured {
			csvMeasures(cells, *p)
		}
	}
	row := make([]string, len(csvHeader))
	for i, name := range csvHeader {
		row[i] = cells[name]
	}
	return row
}

func csvMeasures(cells map[string]string, p Piece) {
	cells["verdict"] = string(p.Verdict)
	for name, v := range map[string]*float64{
		"length_mm": &p.Length, "length_u_mm": &p.LengthU, "width_mm": &p.Width, "width_u_mm": &p.WidthU,
		"area_mm2": &p.Area, "area_u_mm2": &p.AreaU, "thickness_mm": p.Thickness,
		"weight_g": p.Weight, "weight_u_g": p.WeightU,
		"rice_cover": &p.RiceCover, "rice_cover_u": &p.RiceCoverU, "taper": &p.Taper,
	} {
		if v != nil {
			cells[name] = strconv.FormatFloat(*v, 'f', -1, 64)
		}
	}
	cells["triangular"] = strconv.FormatBool(p.Triangular)
	if p.Koba != nil {
		cells["koba"] = strconv.FormatBool(*p.Koba)
	}
	var faults, advice []string
	for _, f := range p.Faults {
		faults = append(faults, f.sentence())
		if f.Advice != "" {
			advice = append(advice, f.Advice)
		}
	}
	cells["faults"] = guardCell(strings.Join(faults, "; "))
	cells["advice"] = guardCell(strings.Join(advice, "; "))
}

func problemsText(r Report) string {
	var out []string
	for _, p := range r.Problems {
		out = append(out, fmt.Sprintf("%s: %s", p.Code, p.Message))
	}
	return strings.Join(out, "; ")
}

// guardCell keeps a spreadsheet from running a text as a formula: one that
// starts, spaces apart, with a character that opens a formula gets a leading
// apostrophe. Numbers do not pass through here.
func guardCell(s string) string {
	const opens = "=+-@\t\r\n＝＋－＠"
	rest := strings.TrimLeft(s, " ")
	if rest != "" && strings.ContainsRune(opens, []rune(rest)[0]) {
		return "'" + s
	}
	return s
}
