package inspect

import (
	"context"
	"fmt"
	"time"

	"netagauge/internal/core/piece"
	"netagauge/internal/core/uncertainty"
	"netagauge/internal/see/shape"
)

// FlatSeen is what lies flat on the field, as print does: outlines in true mm of
// the mat frame, and what the photo tells of mat, print and phone.
type FlatSeen struct {
	Outlines []shape.Outline
	Mat      piece.Mat
	Print    Print
	Phone    string
	Taken    time.Time
}

// Flat measures things without a height: nothing is taken off for parallax. A photo
// that cannot be trusted is an error that says what to do.
func Flat(ctx context.Context, in Photo) (FlatSeen, error) {
	a, why := locate(in.Data)
	if why != nil {
		return FlatSeen{}, refusal(in.Name, *why)
	}
	if err := a.outline(); err != nil {
		return FlatSeen{}, fmt.Errorf("%s: %w", in.Name, err)
	}
	out := FlatSeen{Mat: *matReport(a.found), Phone: a.pic.Phone, Taken: a.pic.Taken}
	print := printOf(job{Photos: Photos{First: in}}, out.Mat, a.found, a.pic.Luma(), a.seen)
	if bad := quality(a.found, a.seen).untrusted; bad != nil {
		return FlatSeen{}, refusal(in.Name, *bad)
	}
	out.Print = Print{print.value, uncertainty.Coverage * print.u, print.byCard}
	a.scale(print)
	for _, p := range a.seen.Pieces {
		if _, card := cardScale(p, a.found); !card && !p.CutOff {
			out.Outlines = append(out.Outlines, p.Outline)
		}
	}
	return out, ctx.Err()
}
