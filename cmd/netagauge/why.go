package main

import (
	"fmt"
	"io"

	"netagauge/internal/core/piece"
)

// showBudget says where one piece's weight interval comes from, largest first,
// and what would shrink each part.
func showBudget(out io.Writer, r piece.Tray, number int) error {
	for _, p := range r.MeasuredPieces() {
		if p.Number != number {
			continue
		}
		if !p.Weight.Known {
			return usagef("piece %d has no weight: enter a thickness", number)
		}
		fmt.Fprintf(out, "\n%s, piece %d: %.1f ± %.2f g. The ± comes from:\n", r.Photo.File, number, p.Weight.X, p.Weight.U)
		for _, s := range p.WeightBudget {
			fmt.Fprintf(out, "  %4.0f %%  %-16s ± %.2f g  %s\n", 100*s.Part, s.Source, s.U, s.Remedy)
		}
		return nil
	}
	return usagef("piece %d is not among the measured ones of %s", number, r.Photo.File)
}
