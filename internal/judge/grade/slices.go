package grade

import (
	"netagauge/internal/judge/standard"
	"netagauge/internal/tell/report"
)

// Slice is a piece that counts as a slice. Only one in state measured carries
// numbers; a decision cannot give a piece what was not measured.
type Slice struct {
	report.Piece
	File     string
	Decision *Decision // nil when nobody decided about it
}

// Ref names the slice.
func (s Slice) Ref() Ref { return Ref{s.File, s.Number} }

// Passes reports whether a measured slice has no fault on a criterion: length,
// width, weight or cover. A doubtful fault counts as the standard says.
func (s Slice) Passes(criterion string, std standard.Standard) bool {
	for _, f := range s.Faults {
		if CriterionOf(f.What) != criterion {
			continue
		}
		verdict := standard.Fail
		if f.Unsure {
			verdict = standard.Unsure
		}
		if !std.CountsAsPass(verdict) {
			return false
		}
	}
	return true
}

// PassesAll reports whether a measured slice passes as a whole.
func (s Slice) PassesAll(std standard.Standard) bool {
	return std.CountsAsPass(standard.Verdict(s.Verdict))
}

// CriterionOf is the criterion that a fault belongs to: rice stays bare because
// a slice is triangular, small or ragged.
func CriterionOf(fault string) string {
	switch fault {
	case "triangular", "small", "ragged":
		return "cover"
	}
	return fault
}

// Slices lists what counts as a slice in trays: measured pieces unless a person
// said they are none, and others where a person said to count them.
func Slices(trays []Tray) []Slice {
	var out []Slice
	for _, t := range trays {
		for _, p := range t.Report.Pieces {
			s := Slice{Piece: p, File: t.File}
			slice := p.State == report.PieceMeasured
			if d, decided := t.Decisions[p.Number]; decided {
				s.Decision, slice = &d, d.Slice
			}
			if slice {
				out = append(out, s)
			}
		}
	}
	return out
}

// Count is how many slices a tray holds; sure is false while it has pieces that
// touch or run off the field and about which nobody decided.
func (t Tray) Count() (n int, sure bool) {
	sure = true
	for _, p := range t.Report.Pieces {
		d, decided := t.Decisions[p.Number]
		switch {
		case decided && d.Slice, !decided && p.State == report.PieceMeasured:
			n++
		case !decided && p.State != report.PieceForeign:
			sure = false
		}
	}
	return n, sure
}
