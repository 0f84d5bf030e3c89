package coverage

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"netagauge/internal/core/uncertainty"
)

// Residual is one measure of one slice whose truth is known: by how much it was
// off, the expanded uncertainty (k = 2) that the photos leave by the linear budget, and
// what no factor widens: what people's words bring, and a koba that may be there.
type Residual struct {
	Tray       string
	Slice      int
	Group      Group
	Error      float64
	Seen, Told float64
}

func (r Residual) in(g Group) bool { return r.Group.Measure == g.Measure && r.Group.Seen == g.Seen }

// U is the interval's half width with a factor.
func (r Residual) U(k float64) float64 { return uncertainty.Combine(k*r.Seen, r.Told) }

// Score is the least factor whose interval holds the truth.
func (r Residual) Score() float64 {
	return math.Sqrt(math.Max(0, r.Error*r.Error-r.Told*r.Told)) / r.Seen
}

var columns = []string{"tray", "slice", "measure", "seen", "error", "u_seen", "u_told"}

// digits that count are kept of errors and uncertainties in files.
const digits = 3

// WriteResiduals writes a file that ReadResiduals reads.
func WriteResiduals(w io.Writer, all []Residual) error {
	text := func(x float64) string { return strconv.FormatFloat(x, 'g', digits, 64) }
	rows := [][]string{columns}
	for _, r := range all {
		rows = append(rows, []string{r.Tray, strconv.Itoa(r.Slice), r.Group.Measure.Key, r.Group.Seen, text(r.Error), text(r.Seen), text(r.Told)})
	}
	return csv.NewWriter(w).WriteAll(rows)
}

// ReadResiduals reads a file of residuals.
func ReadResiduals(r io.Reader) ([]Residual, error) {
	text, err := io.ReadAll(r)
	if err != nil {
		return nil, err
	}
	rows, err := rowsOf(text, columns)
	if err != nil {
		return nil, err
	}
	var out []Residual
	for _, row := range rows {
		g, known := named(row[2], row[3])
		n, bad := strconv.Atoi(row[1])
		var x [3]float64
		for i := range x {
			if x[i], err = strconv.ParseFloat(row[4+i], 64); err != nil {
				bad = err
			}
		}
		if !known || bad != nil || !(x[1] > 0) {
			return nil, fmt.Errorf("%q is no residual of a group", row)
		}
		out = append(out, Residual{row[0], n, g, x[0], x[1], x[2]})
	}
	return out, nil
}

// rowsOf are the rows of a CSV below the heads asked for.
func rowsOf(text []byte, heads []string) ([][]string, error) {
	rows, err := csv.NewReader(bytes.NewReader(text)).ReadAll()
	if err != nil {
		return nil, err
	}
	if len(rows) == 0 || !slices.Equal(rows[0], heads) {
		return nil, fmt.Errorf("its first line must be %s", strings.Join(heads, ","))
	}
	return rows[1:], nil
}
