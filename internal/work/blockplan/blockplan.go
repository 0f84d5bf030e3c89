// Package blockplan plans the cuts of a block that was photographed on the mat,
// and draws them on the photo.
package blockplan

import (
	"context"
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
//
// Where no height is told a second photo shows it.
func Make(ctx context.Context, photo, second inspect.Photo, told plan.Photographed) (plan.Plan, []byte, error) {
	seen, heights, err := look(ctx, photo, second, told)
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

// look finds the block and its heights.
func look(ctx context.Context, photo, second inspect.Photo, told plan.Photographed) (seen inspect.BlockSeen, heights []plan.HeightAt, err error) {
	switch {
	case len(second.Data) > 0:
		return lookTwice(ctx, photo, second, told.Options.Tail)
	case told.Heights == "":
		return seen, nil, phrase.Wrong("block-height-unknown")
	}
	heights, err = plan.ParseHeights(told.Heights)
	if err != nil {
		return seen, nil, phrase.Because(err, "block-heights")
	}
	seen, err = inspect.Block(ctx, photo.Name, photo.Data, plan.MeanHeight(heights))
	return seen, heights, err
}

// lookTwice reads the heights off both photos. How the block lies does not hang on
// them.
func lookTwice(ctx context.Context, photo, second inspect.Photo, tail plan.Side) (inspect.BlockSeen, []plan.HeightAt, error) {
	seen, top, err := inspect.BlockPair(ctx, photo, second)
	if err != nil {
		return seen, nil, err
	}
	block, place, err := plan.FromOutline(seen.Outline, []plan.HeightAt{plan.Even(0, 1)}, tail)
	if err != nil {
		return seen, nil, err
	}
	heights, err := block.HeightsFrom(top, place)
	return seen, heights, err
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
