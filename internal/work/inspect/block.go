package inspect

import (
	"context"
	"fmt"
	"image"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/see/parallax"
	"netagauge/internal/see/segment"
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
	a, why := locate(data)
	if why != nil {
		return BlockSeen{}, refusal(name, *why)
	}
	if ps, trusted := quality(a.found, segment.Result{Pieces: make([]segment.Piece, 1)}); !trusted {
		return BlockSeen{}, refusal(name, ps[0])
	}
	up, err := segment.Rectify(a.pic.YCbCr, a.found)
	if err != nil {
		return BlockSeen{}, err
	}
	p, err := segment.Block(a.pic.YCbCr, up, a.found)
	if err != nil {
		return BlockSeen{}, fmt.Errorf("%s: %w", name, &phrase.Error{Says: phrase.Of("block-none"), Cause: err})
	}
	seen := BlockSeen{Eye: a.eye(0), Upright: up.Picture, PxPerMM: up.PxPerMM}
	above, err := parallax.Above([]parallax.View{{Outline: p.Outline, Eye: seen.Eye}}, parallax.Upright(height))
	if err != nil {
		return BlockSeen{}, fmt.Errorf("%s: %w", name, err)
	}
	seen.Outline = above.Whole
	return seen, ctx.Err()
}

func refusal(name string, p piece.Problem) error {
	return fmt.Errorf("%s: %w", name, piece.ProblemError{Problem: p})
}
