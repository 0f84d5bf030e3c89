package inspect

import (
	"context"
	"fmt"
	"image"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/mat"
	"netagauge/internal/parallax"
	"netagauge/internal/photo"
	"netagauge/internal/report"
	"netagauge/internal/segment"
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
	pic, err := photo.Decode(data)
	if err != nil {
		return BlockSeen{}, refusal(name, unreadable(err))
	}
	found, err := mat.Find(pic.Luma(), pic.F35)
	if err != nil {
		return BlockSeen{}, refusal(name, noMat(err, found, pic.Luma()))
	}
	if ps, trusted := quality(found, segment.Result{Pieces: make([]segment.Piece, 1)}); !trusted {
		return BlockSeen{}, refusal(name, ps[0])
	}
	up, err := segment.Rectify(pic.YCbCr, found)
	if err != nil {
		return BlockSeen{}, err
	}
	p, err := segment.Block(pic.YCbCr, up, found)
	if err != nil {
		return BlockSeen{}, fmt.Errorf("%s: %w: lay one block on the field, clear of the paper's edge", name, err)
	}
	eye := found.Camera.Eye()
	seen := BlockSeen{Eye: parallax.Eye{Foot: r2.Vec{X: eye.X, Y: eye.Y}, Height: -eye.Z}, Upright: up.Picture, PxPerMM: up.PxPerMM}
	above, err := parallax.Above(p.Outline, seen.Eye, parallax.Slice{Edge: height})
	if err != nil {
		return BlockSeen{}, fmt.Errorf("%s: %w", name, err)
	}
	seen.Outline = above.Whole
	return seen, ctx.Err()
}

func refusal(name string, p report.Problem) error {
	return fmt.Errorf("%s: %s (%s): %s", name, p.Message, p.Code, p.Remedy)
}
