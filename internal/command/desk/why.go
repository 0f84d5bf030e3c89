package desk

import (
	"fmt"
	"io"

	"netagauge/internal/command"
	"netagauge/internal/core/piece"
)

// showBudget says where one piece's weight interval comes from, largest first,
// and what would shrink each part.
func (o *checkOptions) showBudget(out io.Writer, r piece.Tray) error {
	for _, p := range r.MeasuredPieces() {
		if p.Number != o.why {
			continue
		}
		if !p.Weight.Known {
			return command.Misuse("use-budget-none", o.why)
		}
		fmt.Fprintf(out, "\n%s\n", o.Word("budget-of", r.Photo.File, o.why, p.Weight.X, p.Weight.U))
		o.Words().Budget(out, p.WeightBudget)
		return nil
	}
	return command.Misuse("use-budget-piece", o.why, r.Photo.File)
}
