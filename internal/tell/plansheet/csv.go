package plansheet

import (
	"encoding/csv"
	"io"
	"strconv"

	"netagauge/internal/judge/plan"
)

// CSV writes one row a cut, numbers unrounded but for noise; a cut that frees
// no slice has none of a slice's.
func CSV(w io.Writer, p plan.Plan) error {
	out := csv.NewWriter(w)
	rows := [][]string{{"cut", "top_near_mm", "top_far_mm", "board_near_mm", "board_far_mm", "theta_deg", "phi_deg",
		"pitch_mm", "thickness_mm", "thickness_least_mm", "thickness_most_mm", "length_mm", "width_mm", "weight_g", "rice_cover", "sure"}}
	for _, c := range p.Cuts {
		row := append([]string{strconv.Itoa(c.Number)}, decimals(c.TopNear, c.TopFar, c.BoardNear, c.BoardFar, c.Theta, c.Phi)...)
		if s, ok := (Sheet{Plan: p}).slice(c.Number); ok {
			row = append(row, decimals(s.Pitch, s.Thickness, s.ThicknessLeast, s.ThicknessMost, s.Length, s.Width, s.Weight, s.RiceCover)...)
			row = append(row, strconv.FormatBool(s.Sure))
		} else {
			row = append(row, make([]string, 9)...)
		}
		rows = append(rows, row)
	}
	return out.WriteAll(rows)
}

func decimals(vs ...float64) []string {
	var out []string
	for _, v := range vs {
		out = append(out, strconv.FormatFloat(v, 'f', 3, 64))
	}
	return out
}
