// Package blockplan plans the cuts of a block that was photographed on the mat,
// and draws them on the photo.
package blockplan

import (
	"context"
	"fmt"
	"image"
	"image/draw"

	"netagauge/internal/core/phrase"
	"netagauge/internal/judge/plan"
	"netagauge/internal/tell/plansheet"
	"netagauge/internal/tell/report"
	"netagauge/internal/work/inspect"
)

// Make takes the block's length and widths from its photo, plans the cuts, and
// returns the photo, as a JPEG, with every cut on it. A photo that cannot be
// trusted, and a block that cannot be cut, are errors that say what to do.
func Make(ctx context.Context, photo inspect.Photo, told plan.Photographed) (plan.Plan, []byte, error) {
	if told.Heights == "" {
		return plan.Plan{}, nil, phrase.Wrong("block-height-unknown")
	}
	heights, err := plan.ParseHeights(told.Heights)
	if err != nil {
		return plan.Plan{}, nil, fmt.Errorf("the block's heights: %w", err)
	}
	var mean float64
	for _, h := range heights {
		mean += (h.Near + 2*h.Middle + h.Far) / 4 / float64(len(heights))
	}
	seen, err := inspect.Block(ctx, photo.Name, photo.Data, mean)
	if err != nil {
		return plan.Plan{}, nil, err
	}
	block, place, err := plan.FromOutline(seen.Outline, heights, told.Options.Tail)
	if err != nil {
		return plan.Plan{}, nil, err
	}
	made, err := plan.Make(ctx, block, told.Standard, told.Group, told.Options)
	if err != nil {
		return made, nil, err
	}
	jpeg, err := drawn(seen, place, made)
	return made, jpeg, err
}

// drawn is the picture that a teacher points at.
func drawn(seen inspect.BlockSeen, place plan.Place, made plan.Plan) ([]byte, error) {
	base := image.NewRGBA(seen.Upright.Rect)
	draw.Draw(base, base.Rect, seen.Upright, image.Point{}, draw.Src)
	picture, err := plansheet.Draw(plansheet.Picture{
		Base: base, PxPerMM: seen.PxPerMM, Foot: seen.Eye.Foot, EyeHeight: seen.Eye.Height,
	}, place, made)
	if err != nil {
		return nil, err
	}
	return report.EncodeJPEG(picture)
}
