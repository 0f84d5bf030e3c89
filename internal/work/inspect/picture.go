package inspect

import (
	"image"

	"golang.org/x/image/draw"

	"netagauge/internal/core/phrase"
	"netagauge/internal/judge/standard"
	"netagauge/internal/see/segment"
	"netagauge/internal/tell/report"
)

// Picture is the upright picture with the report drawn on in a language, as JPEG, its longer side
// at most longest px, or as it is for 0; nil where no mat was found.
func (r Result) Picture(l *phrase.Language, rice standard.Rice, longest int) ([]byte, error) {
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
	if err := (report.Words{Language: l}).Annotate(base, scale*r.PxPerMM, r.Report, foot); err != nil {
		return nil, err
	}
	return report.EncodeJPEG(base)
}

// View is the field as the first photo shows it, from straight above and with nothing
// drawn on it, as JPEG; nil where no mat was found. It shows mat.Layout.View.
func (r Result) View() ([]byte, error) {
	if r.seenBy == nil {
		return nil, nil
	}
	view, err := segment.View(r.seenBy.pic.YCbCr, r.seenBy.found, r.seenBy.found.Layout.View())
	if err != nil {
		return nil, err
	}
	return report.EncodeJPEG(view)
}
