package worker

import (
	"context"
	"image"

	"golang.org/x/image/draw"

	"netagauge/internal/judge/standard"
	"netagauge/internal/tell/report"
	"netagauge/internal/work/inspect"
)

// Measure checks one photo for the book and draws a small annotated picture of
// it. It has no picture when no mat was found.
func Measure(ctx context.Context, in inspect.Input) (report.Report, []byte, error) {
	res, err := inspect.Photo(ctx, in)
	if err != nil || res.Upright == nil {
		return res.Report, nil, err
	}
	jpeg, err := annotated(res, in.Standard)
	return res.Report, jpeg, err
}

// smallPicture is the longest side in px of a picture kept in the book: enough
// for a printed page, and 500 of them stay within 100 MB or so.
const smallPicture = 1200

func annotated(res inspect.Result, s standard.Standard) ([]byte, error) {
	from := res.Upright.Rect
	scale := min(1, smallPicture/float64(max(from.Dx(), from.Dy())))
	base := image.NewRGBA(image.Rect(0, 0, int(scale*float64(from.Dx())), int(scale*float64(from.Dy()))))
	draw.ApproxBiLinear.Scale(base, base.Rect, res.Upright, from, draw.Src, nil)
	rice := report.Footprint{Length: s.Rice.Length, Width: s.Rice.Width, Corner: s.Rice.Corner}
	if err := report.Annotate(base, res.PxPerMM*scale, res.Report, rice); err != nil {
		return nil, err
	}
	return report.EncodeJPEG(base)
}
