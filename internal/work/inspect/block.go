package inspect

import (
	"context"
	"fmt"
	"image"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/see/parallax"
	"netagauge/internal/see/segment"
	"netagauge/internal/see/shape"
	"netagauge/internal/see/stereo"
)

// BlockSeen is a block photographed on the mat: its outline from straight
// above in mm of the mat frame, and the upright picture it is drawn on.
type BlockSeen struct {
	Outline []r2.Vec
	Eye     parallax.Eye
	Upright *image.YCbCr
	PxPerMM float64
}

// Block measures the outline of a block of the given mean height, mm. A photo
// that cannot be trusted is an error that says what to do.
func Block(ctx context.Context, name string, data []byte, height float64) (BlockSeen, error) {
	a, err := blockIn(Photo{name, data})
	if err != nil {
		return BlockSeen{}, err
	}
	return blockAbove(ctx, name, height, a)
}

// BlockPair measures a block's outline and the height of its top from two photos
// taken from different places: points on the mat, mm, with their height.
func BlockPair(ctx context.Context, first, second Photo) (BlockSeen, []r3.Vec, error) {
	a, err := blockIn(first)
	if err != nil {
		return BlockSeen{}, nil, err
	}
	b, err := blockIn(second)
	if err != nil {
		return BlockSeen{}, nil, err
	}
	pair := stereo.Pair{
		A: stereo.View{Luma: a.pic.Luma(), Camera: a.found.Camera, Outline: a.piece.Outline},
		B: stereo.View{Luma: b.pic.Luma(), Camera: b.found.Camera, Outline: b.piece.Outline},
	}
	top, err := pair.Block(shape.Outline(a.piece.Outline).LongAxis())
	if err != nil {
		return BlockSeen{}, nil, phrase.Wrong("block-height-unseen").For(err)
	}
	var mean float64
	for _, p := range top {
		mean += p.Z / float64(len(top))
	}
	seen, err := blockAbove(ctx, first.Name, mean, a, b)
	return seen, top, err
}

// blockSight is a block as one photo shows it.
type blockSight struct {
	sight
	piece segment.Piece
}

func blockIn(photo Photo) (b blockSight, err error) {
	a, why := locate(photo.Data)
	if why != nil {
		return b, refusal(photo.Name, *why)
	}
	if bad := quality(a.found, segment.Result{Pieces: make([]segment.Piece, 1)}).untrusted; bad != nil {
		return b, refusal(photo.Name, *bad)
	}
	if a.up, err = segment.RectifyPaper(a.pic.YCbCr, a.found, 0); err != nil {
		return b, err
	}
	p, err := segment.Block(a.pic.YCbCr, a.up, a.found)
	if err != nil {
		return b, phrase.Wrong("block-none").For(err)
	}
	return blockSight{a, p}, nil
}

// blockAbove is the outline from straight above of a block of the mean height, on
// the first photo.
func blockAbove(ctx context.Context, name string, height float64, photos ...blockSight) (BlockSeen, error) {
	var views []parallax.View
	for _, b := range photos {
		views = append(views, parallax.View{Outline: b.piece.Outline, Eye: b.eye(0)})
	}
	above, err := parallax.Above(views, parallax.Upright(height))
	if err != nil {
		return BlockSeen{}, fmt.Errorf("%s: %w", name, err)
	}
	up := photos[0].up
	return BlockSeen{Outline: above.Whole, Eye: views[0].Eye, Upright: up.Picture, PxPerMM: up.PxPerMM}, ctx.Err()
}

func refusal(name string, p piece.Problem) error {
	return fmt.Errorf("%s: %w", name, piece.ProblemError{Problem: p})
}
