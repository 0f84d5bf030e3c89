package coverage

import (
	"encoding/csv"
	"fmt"
	"io"
	"strconv"
	"sync"

	"netagauge/calibration"
	"netagauge/internal/core/piece"
	"netagauge/internal/core/uncertainty"
)

// Factor is what was measured for a group, from so many slices.
type Factor struct {
	Group
	K      float64
	Slices int
}

// Factors are those of the groups.
type Factors []Factor

// Of is the factor of a measure of a slice; 1, which is k = 2, where none was
// measured.
func (f Factors) Of(m *piece.Measure, s piece.Seen) float64 {
	for _, x := range f {
		if x.Measure == m && x.holds(s) {
			return x.K
		}
	}
	return 1
}

// Fit is the factor of every group by split conformal prediction, from what is
// known of the slices; see uncertainty.Factor for the source. A group of too few
// is an error.
func Fit(all []Residual) (Factors, error) {
	var out Factors
	for _, g := range Groups {
		var scores []float64
		for _, r := range all {
			if r.in(g) {
				scores = append(scores, r.Score())
			}
		}
		k, err := uncertainty.Factor(scores, Share)
		if err != nil {
			return nil, fmt.Errorf("%s, %s: %d slices: %w", g.Measure.Name(), g.Seen, len(scores), err)
		}
		out = append(out, Factor{g, uncertainty.RoundUp(k, decimals), len(scores)})
	}
	return out, nil
}

// decimals of a factor in its file; it is rounded up.
const decimals = 2

// Measured are the factors that the program states its intervals by.
var Measured = sync.OnceValue(func() Factors {
	f, err := parse(calibration.Coverage)
	if err != nil {
		panic("calibration/coverage.csv: " + err.Error())
	}
	return f
})

var head = []string{"measure", "seen", "factor", "slices"}

// Write writes the file that Measured reads.
func (f Factors) Write(w io.Writer) error {
	rows := [][]string{head}
	for _, x := range f {
		rows = append(rows, []string{x.Measure.Key, x.Seen, uncertainty.Decimal(x.K, decimals), strconv.Itoa(x.Slices)})
	}
	return csv.NewWriter(w).WriteAll(rows)
}

func parse(text []byte) (Factors, error) {
	rows, err := rowsOf(text, head)
	if err != nil {
		return nil, err
	}
	var out Factors
	for _, row := range rows {
		g, known := named(row[0], row[1])
		k, err := strconv.ParseFloat(row[2], 64)
		n, errN := strconv.Atoi(row[3])
		if !known || err != nil || errN != nil || !(k > 0) {
			return nil, fmt.Errorf("%q is no factor of a group", row)
		}
		out = append(out, Factor{g, k, n})
	}
	return out, nil
}
