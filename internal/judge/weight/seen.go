package weight

import (
	"netagauge/internal/core/phrase"
	"netagauge/internal/core/uncertainty"
)

// Seen is the thickness that two photos show, mm, by the number of the piece.
// Otherwise is what is known of a piece that they show too little of; nil for
// nothing.
type Seen struct {
	Each      map[int]uncertainty.Value
	Otherwise Source
}

// Of returns the thickness of piece number; false when nothing tells it.
func (s Seen) Of(number int) (Thickness, bool) {
	if v, seen := s.Each[number]; seen {
		return Thickness{v, FromSecondPhoto, "cure-farther-apart", false}, true
	}
	if s.Otherwise == nil {
		return Thickness{}, false
	}
	return s.Otherwise.Of(number)
}

// Weigh weighs the pieces whose thickness is told.
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
			return nil, about(phrase.Of("of-slice", float64(p.Number)), err)
		}
		w.Number = p.Number
		out = append(out, w)
	}
	return out, nil
}
