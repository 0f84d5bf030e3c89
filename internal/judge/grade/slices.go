package grade

import (
	"slices"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/judge/standard"
)

// Slice is a piece that counts as a slice. Only one in state measured carries
// numbers; an override cannot give a piece what was not measured.
type Slice struct {
	piece.Piece
	File     string
	Override *piece.Override // nil when nobody decided about it
	Found    piece.Verdict   // what was measured, whatever was decided
}

// Ref names the slice.
func (s Slice) Ref() Ref { return Ref{s.File, s.Number} }

// Passes reports whether a measured slice has no fault in a criterion, a measure's
// key. A doubtful fault counts as the standard says. One that a person said to cut again
// passes in none, like a slice without numbers.
func (s Slice) Passes(criterion string, std standard.Standard) bool {
	if s.saidAgain() {
		return false
	}
	for _, f := range s.Faults {
		if f.Criterion() == criterion && !std.CountsAsPass(f.Verdict()) {
			return false
		}
	}
	return true
}

func (s Slice) saidAgain() bool { return s.Override != nil && s.Override.Kind == piece.SaidAgain }

// explained reports whether another fault of the slice explains the one in a
// measure, so that it loses once: the taper explains a triangle's size and weight,
// a size that is too small the rice that shows, and a size that is off to the same
// side the weight.
func (s Slice) explained(m *piece.Measure) bool {
	f, faulty := s.Fault(m)
	if !faulty || s.saidAgain() {
		return false
	}
	sized := func(side piece.Side) bool {
		for _, m := range []*piece.Measure{piece.Length, piece.Width} {
			if size, off := s.Fault(m); off && size.Side() == side {
				return true
			}
		}
		return false
	}
	switch {
	case s.Triangular:
		return m != piece.Cover
	case m == piece.Cover:
		return f.What == piece.Small && sized(piece.TooLittle)
	case m == piece.Weight:
		return sized(f.Side())
	}
	return false
}

// Slices lists what counts as a slice in trays: measured pieces unless a person
// said they are none, and others where a person said to count them.
func Slices(trays []Tray) []Slice {
	var out []Slice
	for _, t := range trays {
		for _, p := range t.Report.Pieces {
			s := Slice{Piece: p, File: t.File, Found: p.Verdict}
			slice := p.State == piece.Measured
			if o, decided := t.Overrides[p.Number]; decided {
				s.Piece, s.Override, slice = o.Applied(p), &o, o.Counts()
			}
			if slice {
				out = append(out, s)
			}
		}
	}
	return out
}

// Measured are the slices of a tray that have numbers, as people decided about them.
func (t Tray) Measured() (out []piece.Piece) {
	for _, s := range Slices([]Tray{t}) {
		if s.State == piece.Measured {
			out = append(out, s.Piece)
		}
	}
	return out
}

// Hidden is how many slices at the least lie on trays without numbers: pieces that
// were not measured, unless a person said that they are no slices.
func Hidden(trays []Tray) int {
	n := 0
	for _, t := range trays {
		for _, p := range t.Report.Pieces {
			switch o, decided := t.Overrides[p.Number]; {
			case p.State == piece.Measured:
			case decided && o.Counts():
				n++
			case !decided && p.State != piece.Foreign:
				n += t.Report.Hidden(p)
			}
		}
	}
	return n
}

// Verdicts sums up the slices of trays.
func Verdicts(trays ...Tray) piece.Count {
	c := piece.Count{NotMeasured: Hidden(trays)}
	for _, t := range trays {
		for _, p := range t.Measured() {
			c.Add(p.Verdict)
		}
	}
	return c
}

// Missing says what to do about slices without numbers about which nobody decided;
// empty where there is none.
func (t Tray) Missing() phrase.Text {
	r := t.Report
	r.Pieces = slices.DeleteFunc(slices.Clone(r.Pieces), func(p piece.Piece) bool {
		_, decided := t.Overrides[p.Number]
		return decided && p.State != piece.Measured
	})
	return r.Missing()
}

// Count is how many slices a tray holds; sure is false while it has pieces that
// touch or run off the field and about which nobody decided.
func (t Tray) Count() (n int, sure bool) {
	sure = true
	for _, p := range t.Report.Pieces {
		o, decided := t.Overrides[p.Number]
		switch {
		case decided && o.Counts(), !decided && p.State == piece.Measured:
			n++
		case !decided && p.State != piece.Foreign:
			sure = false
		}
	}
	return n, sure
}
