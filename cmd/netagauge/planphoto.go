package main

import (
	"context"
	"errors"
	"fmt"
	"image"
	"image/draw"
	"io"

	"netagauge/internal/core/atomicfile"
	"netagauge/internal/judge/plan"
	"netagauge/internal/see/photo"
	"netagauge/internal/tell/plansheet"
	"netagauge/internal/tell/report"
	"netagauge/internal/work/inspect"
)

// blockFromPhoto takes the block's length and widths from its photo; its
// heights are the person's.
func (p *planFlags) blockFromPhoto(ctx context.Context) (plan.Block, error) {
	if p.heights == "" {
		return plan.Block{}, errors.New("a photo from above cannot see the block's height: give --heights")
	}
	heights, err := plan.ParseHeights(p.heights)
	if err != nil {
		return plan.Block{}, fmt.Errorf("--heights: %w", err)
	}
	var mean float64
	for _, h := range heights {
		mean += (h.Near + 2*h.Middle + h.Far) / 4 / float64(len(heights))
	}
	data, err := photo.Read(p.photo)
	if err != nil {
		return plan.Block{}, fmt.Errorf("%s: %w", p.photo, err)
	}
	if p.seen, err = inspect.Block(ctx, p.photo, data, mean); err != nil {
		return plan.Block{}, err
	}
	block, place, err := plan.FromOutline(p.seen.Outline, heights, plan.Side(p.tail))
	p.place = place
	return block, err
}

// drawOnPhoto writes the picture that a teacher points at: the block with every
// cut on it.
func (p *planFlags) drawOnPhoto(made plan.Plan, errw io.Writer) error {
	if p.picture == "" {
		return nil
	}
	base := image.NewRGBA(p.seen.Upright.Rect)
	draw.Draw(base, base.Rect, p.seen.Upright, image.Point{}, draw.Src)
	drawn, err := plansheet.Draw(plansheet.Picture{
		Base: base, PxPerMM: p.seen.PxPerMM, Foot: p.seen.Eye.Foot, EyeHeight: p.seen.Eye.Height,
	}, p.place, made)
	if err != nil {
		return err
	}
	jpeg, err := report.EncodeJPEG(drawn)
	if err != nil {
		return err
	}
	if err := atomicfile.Write(p.picture, jpeg); err != nil {
		return usageError{err}
	}
	fmt.Fprintf(errw, "wrote %q\n", p.picture)
	return nil
}
