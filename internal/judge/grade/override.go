package grade

import (
	"errors"
	"math"
	"strconv"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
)

// samePlace is how far, in mm, a piece may seem to have moved between two
// versions of the program and still be the same piece. Our setting: a quarter
// of a slice's width.
const samePlace = 9

// Overrides matches overrides, oldest first, with the pieces of a photo by where
// they lie, and returns those that hold by the number that a piece has now. One whose
// piece is gone is an error that names it.
func Overrides(pieces []piece.Piece, overrides []piece.Override) (map[int]piece.Override, error) {
	out := map[int]piece.Override{}
	var errs []error
	for _, o := range overrides {
		best, distance := -1, math.Inf(1)
		for i, p := range pieces {
			at := p.Middle()
			if d := math.Hypot(at[0]-o.At[0], at[1]-o.At[1]); d < distance {
				best, distance = i, d
			}
		}
		if distance > samePlace {
			if o.Kind == piece.AsMeasured {
				continue
			}
			errs = append(errs, phrase.Wrong("override-lost", strconv.Quote(o.Reason), o.Piece))
			continue
		}
		if out[pieces[best].Number] = o; o.Kind == piece.AsMeasured {
			delete(out, pieces[best].Number)
		}
	}
	return out, errors.Join(errs...)
}
