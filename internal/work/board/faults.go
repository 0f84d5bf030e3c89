package board

import (
	"cmp"
	"fmt"
	"slices"

	"netagauge/internal/judge/grade"
	"netagauge/internal/judge/standard"
)

// Fault is a fault with its direction, as a teacher speaks of it.
type Fault string

// The faults, from the standard's measures.
const (
	Short      Fault = "too short"
	Long       Fault = "too long"
	Narrow     Fault = "too narrow"
	Wide       Fault = "too wide"
	Light      Fault = "too light"
	Heavy      Fault = "too heavy"
	Triangular Fault = "triangular"
	Small      Fault = "too small for the rice"
	Ragged     Fault = "ragged"
	NoKoba     Fault = "without a step (koba)"
)

// lessons say what to show again. Geometry: a block of width W cut at the plan
// angle θ gives slices W / sin θ long; a blade laid at φ in a block of height h
// gives slices h / sin φ wide. The rest is common practice, no source.
var lessons = map[Fault]string{
	Short:      "how the plan angle makes the length: a smaller angle between the cut and the long side of the block makes longer slices",
	Long:       "how the plan angle makes the length: a larger angle between the cut and the long side of the block makes shorter slices",
	Narrow:     "how the lay of the blade makes the width: a flatter blade makes wider slices",
	Wide:       "how the lay of the blade makes the width: a steeper blade makes narrower slices",
	Light:      "the step from cut to cut: set the blade a little further over for a thicker slice",
	Heavy:      "the step from cut to cut: set the blade a little less far over for a thinner slice",
	Triangular: "turning the knife as the block tapers, so that both ends of the slice stay equally wide",
	Small:      "trimming the block to its height and width before the first cut, and the two angles that make length and width",
	Ragged:     "one long pull of a keen blade from heel to tip, without sawing",
	NoKoba:     "leaving the step (koba) along the edge",
}

// Lesson is what to show again for a fault.
func (f Fault) Lesson() string { return lessons[f] }

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
func faultsOf(s grade.Slice, asked Asked) []Fault {
	var out []Fault
	for _, f := range s.Faults {
		verdict := standard.Fail
		if f.Unsure {
			verdict = standard.Unsure
		}
		if !asked.Standard.CountsAsPass(verdict) {
			out = append(out, named(f.What, s, asked))
		}
	}
	return out
}

func named(what string, s grade.Slice, asked Asked) Fault {
	side := func(v float64, l standard.Limits, low, high Fault) Fault {
		if v < l.Aim {
			return low
		}
		return high
	}
	switch what {
	case "length":
		return side(s.Length, asked.Standard.Length, Short, Long)
	case "width":
		return side(s.Width, asked.Standard.Width, Narrow, Wide)
	case "weight":
		if s.Weight != nil {
			return side(*s.Weight, asked.Standard.WeightFor(asked.Group), Light, Heavy)
		}
	case "small":
		return Small
	case "koba":
		return NoKoba
	}
	return Fault(what) // triangular, ragged
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
			if float64(n) >= often*float64(t.Measured()) {
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

// ShowAgain is the teacher's sentence: the fault that most of the class shares,
// or that there is none.
func (b Board) ShowAgain() string {
	graded := 0
	for _, t := range b.Trainees {
		if t.Measured() > 0 {
			graded++
		}
	}
	if graded == 0 {
		return "No slice was measured."
	}
	if len(b.Faults) == 0 {
		return "No slice fails the standard."
	}
	f := b.Faults[0]
	who := fmt.Sprintf("%d of %d trainees cut slices that are %s", len(f.Trainees), graded, f.Fault)
	switch n := len(f.Trainees); {
	case n == 0:
		return fmt.Sprintf("No fault is anybody's habit; the most common is %s (%d slices).", f.Fault, f.Slices)
	case n*2 > graded && graded > 1:
		return fmt.Sprintf("%s, in a quarter of their slices or more. Show the class again: %s.", who, f.Fault.Lesson())
	}
	return fmt.Sprintf("No fault is shared by most of the class. %s; to show them again: %s.", who, f.Fault.Lesson())
}
