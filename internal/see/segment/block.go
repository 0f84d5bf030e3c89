package segment

import (
	"errors"
	"image"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/see/mat"
	"netagauge/internal/see/vision"
)

// ErrNoBlock means that nothing as large as a block lies wholly on the mat.
var ErrNoBlock = errors.New("no block lies wholly on the mat")

// paperInset keeps the search off the paper's own edge, mm.
const (
	paperInset    = 4.0
	smallestBlock = 5500.0 // mm²; below it lies a slice
)

// Block traces the largest piece on the whole mat, border included: a block is
// so high that its top is seen beyond the field it lies on. Fish is told from
// the white border by its colour.
func Block(photo *image.YCbCr, up Upright, f mat.Found) (Piece, error) {
	l := f.Layout
	whole := up.rect(r2.NewBox(paperInset, paperInset, l.Paper.X-paperInset, l.Paper.Y-paperInset))
	inner := up.rect(l.Field).Inset(fieldInset)
	ground := crop(up.Picture, inner)
	bare := learn(ground)
	pl, err := look(photo, f)
	if err != nil {
		return Piece{}, err
	}
	t := newTracer(pl, f, bare, up, inner)
	t.paper = paperOf(up.Picture, inner)
	contours, err := vision.Contours(t.withMargin(bare.mask(ground), up.Picture, whole, inner), 4, 4)
	if err != nil {
		return Piece{}, err
	}
	var best vision.Contour
	for _, c := range contours {
		if c.Area > best.Area {
			best = c
		}
	}
	coarse := up.points(best.Points, whole.Min)
	if best.Area < smallestBlock*up.PxPerMM*up.PxPerMM || atEdge(best.Points, whole) || t.offPhoto(coarse) {
		return Piece{}, ErrNoBlock
	}
	return t.piece(coarse), nil
}
