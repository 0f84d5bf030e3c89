package inspect

import (
	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/core/uncertainty"
	"netagauge/internal/judge/weight"
)

// InputError is something the person entered that does not fit the tray in the
// photo.
type InputError struct{ error }

func (e InputError) Unwrap() error { return e.error }

// thicknessOf is the thickness that places a piece's upper edge: what goes with
// its weight, else what is known of it, else what is usual.
func (s *scene) thicknessOf(p *thing) uncertainty.Value {
	if p.Weight.Known {
		return uncertainty.Value{X: p.Thickness.X, U: p.Thickness.U / uncertainty.Coverage}
	}
	if src := s.in.Matter.Thickness; src != nil {
		if t, ok := src.Of(p.Number); ok {
			return t.Value
		}
	}
	return uncertainty.Value{X: defaultT, U: defaultTU}
}

// weigh gives the measured pieces their weights, where a thickness is known.
// A source that learns the thickness from the areas moves the outlines a
// little, so those are measured once more with it.
func (s *scene) weigh(pieces []*thing) error {
	if err := s.in.Matter.LayAngles.Check(s.slices(pieces)); err != nil {
		return InputError{err}
	}
	src := s.in.Matter.Thickness
	if !s.in.Matter.Weights.None() {
		src = weight.OnScale{Readings: s.in.Matter.Weights, Otherwise: src}
	}
	if src == nil {
		return nil
	}
	if err := s.whole(pieces); err != nil {
		return err
	}
	for range 2 {
		ws, err := src.Weigh(s.slices(pieces), s.in.Matter.Density)
		if err != nil {
			return InputError{err}
		}
		again := false
		for _, w := range ws {
			p := byNumber(pieces, w.Number)
			again = again || !p.Weight.Known && w.Thickness.Value != s.thicknessOf(p)
			p.Thickness = piece.Of(w.Thickness.X, w.Thickness.Expanded())
			p.Thickness.Source, p.Thickness.Estimate = w.Thickness.Source, w.Thickness.Shared
			p.Weight, p.WeightBudget = piece.Of(w.X, w.Expanded()), piece.Budget(w.Budget)
			p.Weight.Estimate = w.Shared && !s.in.Standard.TellsApart(p.Weight.U, s.in.Matter.Group)
		}
		if !again {
			break
		}
		s.measure(pieces)
	}
	return nil
}

// whole refuses a tray on the scale when not every slice of it is measured.
func (s *scene) whole(pieces []*thing) error {
	if _, scale := s.in.Matter.Thickness.(weight.TrayWeight); !scale {
		return nil
	}
	for _, p := range pieces {
		if p.State == piece.Touching || p.State == piece.CutOff {
			return InputError{phrase.Wrong("tray-not-whole", "state-"+string(p.State), float64(p.Number))}
		}
	}
	return nil
}

// slices is what the photo tells of the pieces' weights.
func (s *scene) slices(pieces []*thing) []weight.Piece {
	var out []weight.Piece
	for _, p := range pieces {
		if p.State == piece.Measured {
			out = append(out, weight.Piece{Number: p.Number, Slice: weight.Slice{
				Area:   uncertainty.Value{X: p.m.Area, U: norm(p.factor(piece.Weight)*p.linear.area, p.linear.koba*p.m.Length) / uncertainty.Coverage},
				Extent: p.extent(), Lean: p.seenLean(s.thicknessOf(p).X), ScaleU: s.print.u,
			}})
		}
	}
	return out
}

func byNumber(pieces []*thing, n int) *thing {
	for _, p := range pieces {
		if p.Number == n {
			return p
		}
	}
	return nil
}
