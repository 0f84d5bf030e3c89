package segment

import (
	"errors"
	"image"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/core/solid"
	"netagauge/internal/see/mat"
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
	inner := up.rect(l.Field).Inset(fieldInset)
	ground := crop(up.Picture, inner)
	pl, err := look(photo, f)
	if err != nil {
		return Piece{}, err
	}
	t := newTracer(pl, f, learn(ground), up, inner)
	t.paper = paperOf(up.Picture, inner)
	whole := up.rect(r2.NewBox(paperInset, paperInset, l.Paper.X-paperInset, l.Paper.Y-paperInset))
	sr := search{t: t, up: up, ground: ground, area: inner, whole: whole}
	outlines, err := sr.outlines(sr.mask(chromaShare), 4, 4)
	if err != nil {
		return Piece{}, err
	}
	var coarse []r2.Vec
	for _, o := range outlines {
		if solid.Area(o) > solid.Area(coarse) {
			coarse = o
		}
	}
	if solid.Area(coarse) < smallestBlock || sr.atEdge(coarse) || t.offPhoto(coarse) {
		return Piece{}, ErrNoBlock
	}
	return t.piece(coarse, nil), nil
}
