package inspect

import (
	"image"
	"image/draw"

	"netagauge/internal/core/phrase"
	"netagauge/internal/judge/standard"
	"netagauge/internal/see/segment"
	"netagauge/internal/tell/report"
)

// Picture is the upright picture with the report drawn on in a language, as JPEG, its longer side
// at most longest px, or as it is for 0; nil where no mat was found.
func (r Result) Picture(l *phrase.Language, rice standard.Rice, longest int) ([]byte, error) {
	if r.seenBy == nil {
		return nil, nil
	}
	up, err := segment.RectifyPaper(r.seenBy.pic.YCbCr, r.seenBy.found, longest)
	if err != nil {
		return nil, err
	}
	base := image.NewRGBA(up.Picture.Rect)
	draw.Draw(base, base.Rect, up.Picture, base.Rect.Min, draw.Src)
	foot := report.Footprint{Length: rice.Length, Width: rice.Width, Corner: rice.Corner}
	if err := (report.Words{Language: l}).Annotate(base, up.PxPerMM/r.Report.Mat.PrintScale, r.Report, foot); err != nil {
		return nil, err
	}
	return report.EncodeJPEG(base)
}

// wholePhoto is the longer side of a photo that is kept because no mat was found in it,
// px: enough to see what is wrong on a phone.
const wholePhoto = 1170

// View is the field as the first photo shows it, from straight above and with nothing
// drawn on it, as JPEG. It shows mat.Layout.View or, where no mat was found, the whole
// photo, upright; nil where it could not be read.
func (r Result) View() ([]byte, error) {
	switch {
	case r.photo == nil:
		return nil, nil
	case r.seenBy == nil:
		return report.EncodeJPEG(r.photo.Small(wholePhoto))
	}
	view, err := segment.View(r.seenBy.pic.YCbCr, r.seenBy.found, r.seenBy.found.Layout.View())
	if err != nil {
		return nil, err
	}
	return report.EncodeJPEG(view)
}
