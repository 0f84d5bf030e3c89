package board

import (
	"cmp"
	"slices"

	"netagauge/internal/core/phrase"
	"netagauge/internal/judge/grade"
	"netagauge/internal/judge/standard"
)

// Fault is what is wrong with a slice, as piece.Fault.Key has it: a key, whose
// words the phrasebook has behind is- (too short) and lesson- (what to show
// again).
type Fault string

// Is is the key of what a slice with the fault is, Lesson that of what to show
// again.
func (f Fault) Is() string     { return "is-" + string(f) }
func (f Fault) Lesson() string { return "lesson-" + string(f) }

// Shared is a fault and how far it goes in the class.
type Shared struct {
	Fault    Fault
	Trainees []string // who have it, see often
	Slices   int      // that have it in the whole class
}

// often is the share of a trainee's slices that must have a fault before it is
// theirs rather than a slip. Our setting, no source.
const often = 0.25

// faultsOf names the faults of a slice that keep it from passing.
func faultsOf(s grade.Slice, house standard.Standard) []Fault {
	var out []Fault
	for _, f := range s.Faults {
		if !house.CountsAsPass(f.Verdict()) {
			out = append(out, Fault(f.Key()))
		}
	}
	return out
}

// shared lists the faults of a class, the one that most trainees have first.
func shared(trainees []Trainee) []Shared {
	by := map[Fault]*Shared{}
	for _, t := range trainees {
		for f, n := range t.Faults {
			if by[f] == nil {
				by[f] = &Shared{Fault: f}
			}
			by[f].Slices += n
			if float64(n) >= often*float64(t.Count.Measured()) {
				by[f].Trainees = append(by[f].Trainees, t.Name)
			}
		}
	}
	var out []Shared
	for _, s := range by {
		out = append(out, *s)
	}
	slices.SortFunc(out, func(a, b Shared) int {
		return cmp.Or(cmp.Compare(len(b.Trainees), len(a.Trainees)), cmp.Compare(b.Slices, a.Slices), cmp.Compare(a.Fault, b.Fault))
	})
	return out
}

// ShowAgain is what the teacher is told: the fault that most of the class shares,
// or that there is none.
func (b Board) ShowAgain() phrase.Text {
	graded := 0
	for _, t := range b.Trainees {
		if t.Count.Measured() > 0 {
			graded++
		}
	}
	if graded == 0 {
		return phrase.Of("class-unmeasured")
	}
	if len(b.Faults) == 0 {
		return phrase.Of("class-passes")
	}
	f := b.Faults[0]
	says := func(key string, numbers ...float64) phrase.Text {
		return phrase.Named(key, f.Fault.Is(), f.Fault.Lesson()).With(numbers...)
	}
	switch n := len(f.Trainees); {
	case n == 0:
		return says("class-no-habit", float64(f.Slices))
	case n*2 > graded && graded > 1:
		return says("class-shares", float64(n), float64(graded))
	default:
		return says("class-some", float64(n), float64(graded))
	}
}
