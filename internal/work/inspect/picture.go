package inspect

import (
	"image"

	"golang.org/x/image/draw"

	"netagauge/internal/judge/standard"
	"netagauge/internal/tell/report"
)

// Picture is the upright picture with the report drawn on, as JPEG, its longer side
// at most longest px, or as it is for 0; nil where no mat was found.
func (r Result) Picture(rice standard.Rice, longest int) ([]byte, error) {
	if r.Upright == nil {
		return nil, nil
	}
	from := r.Upright.Rect
	scale := 1.0
	if long := max(from.Dx(), from.Dy()); longest > 0 && longest < long {
		scale = float64(longest) / float64(long)
	}
	base := image.NewRGBA(image.Rect(0, 0, int(scale*float64(from.Dx())), int(scale*float64(from.Dy()))))
	if scale == 1 {
		draw.Draw(base, base.Rect, r.Upright, from.Min, draw.Src)
	} else {
		draw.ApproxBiLinear.Scale(base, base.Rect, r.Upright, from, draw.Src, nil)
	}
	foot := report.Footprint{Length: rice.Length, Width: rice.Width, Corner: rice.Corner}
	if err := report.Annotate(base, scale*r.PxPerMM, r.Report, foot); err != nil {
		return nil, err
	}
	return report.EncodeJPEG(base)
}
