package handout

import (
	"bytes"
	"cmp"
	"context"
	"image"
	"image/draw"
	"image/jpeg"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/judge/grade"
	"netagauge/internal/judge/standard"
	"netagauge/internal/keep/board"
	"netagauge/internal/keep/book"
	"netagauge/internal/see/mat"
	"netagauge/internal/tell/report"
)

// FromBook gives the annotated pictures that a book keeps. One of a tray of which a
// person decided something is drawn anew as it was decided, in a language; where a
// program of the time before kept no picture to draw on, the one as measured stays.
func FromBook(ctx context.Context, b *book.Book, l *phrase.Language, rice standard.Rice) Pictures {
	return func(x board.Photo) ([]byte, error) {
		if x.Decided() {
			view, err := b.View(ctx, x.Result)
			if err != nil {
				return nil, err
			}
			r, err := b.Report(ctx, x.Result)
			if err != nil {
				return nil, err
			}
			if len(view) > 0 && r.Mat != nil {
				return redrawn(view, decided(r, x), l, rice)
			}
		}
		return b.Picture(ctx, x.Result)
	}
}

// decided is a report with what people decided about its pieces.
func decided(r piece.Tray, x board.Photo) piece.Tray {
	r.Pieces = slices.Clone(r.Pieces)
	for i, p := range r.Pieces {
		if at := slices.IndexFunc(x.Slices, func(s grade.Slice) bool { return s.Number == p.Number }); at >= 0 {
			r.Pieces[i] = x.Slices[at].Piece
		} else if p.State == piece.Measured {
			r.Pieces[i].State = piece.Foreign // no slice, as was decided
		}
	}
	return r
}

// redrawn draws a report onto the view of its field.
func redrawn(view []byte, r piece.Tray, l *phrase.Language, rice standard.Rice) ([]byte, error) {
	from, err := jpeg.Decode(bytes.NewReader(view))
	if err != nil {
		return nil, err
	}
	layout, err := mat.ByName(r.Mat.Name)
	if err != nil {
		return nil, err
	}
	box := layout.View()
	print := cmp.Or(r.Mat.PrintScale, 1)
	base := image.NewRGBA(image.Rectangle{Max: from.Bounds().Size()})
	draw.Draw(base, base.Rect, from, from.Bounds().Min, draw.Src)
	scale := float64(base.Rect.Dx()) / (print * (box.Max.X - box.Min.X))
	err = report.Words{Language: l}.Annotate(base, scale, moved(r, r2.Scale(-print, box.Min)), report.Footprint{Length: rice.Length, Width: rice.Width, Corner: rice.Corner})
	if err != nil {
		return nil, err
	}
	return report.EncodeJPEG(base)
}

// moved is a report whose pieces lie elsewhere by so many mm.
func moved(r piece.Tray, by r2.Vec) piece.Tray {
	move := func(at [2]float64) [2]float64 { return [2]float64{at[0] + by.X, at[1] + by.Y} }
	r.Pieces = slices.Clone(r.Pieces)
	for i := range r.Pieces {
		p := &r.Pieces[i]
		p.Outline = slices.Clone(p.Outline)
		for k, at := range p.Outline {
			p.Outline[k] = move(at)
		}
		if p.RicePlacement != nil {
			p.RicePlacement = &piece.Placement{CentreMM: move(p.RicePlacement.CentreMM), AngleDeg: p.RicePlacement.AngleDeg}
		}
	}
	return r
}
