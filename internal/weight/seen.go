package weight

import (
	"fmt"

	"netagauge/internal/uncertainty"
)

// Seen is the thickness that two photos show, mm, by the number of the piece.
type Seen map[int]uncertainty.Value

// Of returns the thickness of piece number; false when the photos show none.
func (s Seen) Of(number int) (Thickness, bool) {
	v, known := s[number]
	return Thickness{v, FromSecondPhoto, "take the two photos farther apart"}, known
}

// Weigh weighs the pieces whose thickness is seen.
func (s Seen) Weigh(pieces []Piece, d Density) ([]Weighed, error) { return weighKnown(s.Of, pieces, d) }

// weighKnown weighs the pieces that have a thickness; the others are left out.
func weighKnown(of func(number int) (Thickness, bool), pieces []Piece, d Density) ([]Weighed, error) {
	var out []Weighed
	for _, p := range pieces {
		t, known := of(p.Number)
		if !known {
			continue
		}
		w, err := Weigh(p.Slice, t, d)
		if err != nil {
			return nil, fmt.Errorf("piece %d: %w", p.Number, err)
		}
		w.Number = p.Number
		out = append(out, w)
	}
	return out, nil
}
