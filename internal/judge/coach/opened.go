package coach

import (
	"slices"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
)

// A piece so many times as large as asked in one measure, and about right in the
// other, is no slice cut with the blade a little off: it was opened like a book, or
// is two slices that lie edge to edge. Our setting.
const (
	doubleLow, doubleHigh = 1.7, 2.4
	rightLow, rightHigh   = 0.75, 1.25
	asOne                 = 1.5 // times the weight asked, up to which it is one slice
)

// doubled is the measure in which a piece is twice as large as asked; nil for others.
func doubled(p piece.Piece, t Target) *piece.Measure {
	between := func(v, low, high float64) bool { return v >= low && v <= high }
	long, wide := p.Length.X/t.LengthAim, p.Width.X/t.WidthAim
	switch {
	case p.Triangular:
	case between(wide, doubleLow, doubleHigh) && between(long, rightLow, rightHigh):
		return piece.Width
	case between(long, doubleLow, doubleHigh) && between(wide, rightLow, rightHigh):
		return piece.Length
	}
	return nil
}

// doubledText says what its weight tells it to be, or asks.
func doubledText(p piece.Piece, t Target, on *piece.Measure) phrase.Text {
	says := phrase.Of("twice-wide", p.Width.X, t.WidthAim)
	if on == piece.Length {
		says = phrase.Of("twice-long", p.Length.X, t.LengthAim)
	}
	switch {
	case p.Weight.X <= 0:
		return says.And(phrase.Of("double-asked"))
	case p.Weight.X < asOne*t.WeightAim:
		return says.And(phrase.Of("double-opened"))
	}
	return says.And(phrase.Of("double-two"))
}

// Asks reports whether the advice on a fault asks what the piece is: its size says
// nothing of the knife then.
func Asks(f piece.Fault) bool {
	return len(f.Says) > 0 && (f.Says[0].Key == "twice-wide" || f.Says[0].Key == "twice-long")
}

// single leaves out doubled pieces, unless at least half are: then the knife is the
// cause.
func single(ps []piece.Piece, t Target) []piece.Piece {
	out := slices.DeleteFunc(slices.Clone(ps), func(p piece.Piece) bool { return doubled(p, t) != nil })
	if 2*len(out) <= len(ps) {
		return ps
	}
	return out
}
