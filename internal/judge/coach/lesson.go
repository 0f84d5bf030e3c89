package coach

import (
	"strings"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
)

// Lesson is the one thing that a cook, a trainee or a class is taught: the same one
// for the same fault, whoever says it. Its words are behind lesson- and its key.
type Lesson struct {
	Key   string      // a fault's (piece.Fault.Key), or what is uneven in a row of slices
	Found phrase.Text // what was seen; empty where only the fault is known
	Cure  phrase.Text // what would mend it, with the angles that follow from what was told
}

// Title is the key of the lesson in a few words.
func (l Lesson) Title() string { return "lesson-" + l.Key }

// LessonIn is the lesson in a sentence of Tray's; ok is false for one that holds none.
func LessonIn(says phrase.Text) (l Lesson, ok bool) {
	for i, part := range says {
		key := taught[part.Key]
		if part.Key == "some-are" && len(part.Names) > 0 {
			key = strings.TrimPrefix(part.Names[0], "is-")
		}
		if key != "" {
			return Lesson{key, says[:i+1], says[i+1:]}, true
		}
	}
	return Lesson{}, false
}

// taught is the lesson in a finding, by the key of its clause.
var taught = map[string]string{
	"off-short": "short", "off-long": "long", "off-narrow": "narrow", "off-wide": "wide", "off-light": "light", "off-heavy": "heavy",
	"taper": piece.Triangular, "wedge-along": "wedge-along", "wedge-across": "wedge-across",
	"lengths-drift": "lengths-drift", "widths-drift": "widths-drift", "weights-drift": "weights-even",
	"lengths-scatter": "lengths-even", "widths-scatter": "widths-even", "weights-scatter": "weights-even",
	"one-to-open": "open", "some-to-open": "open", "one-aside": "aside", "some-aside": "aside",
}

// Steps are the keys of how it is done: where the block lies, the hand, the stroke,
// the order. Common practice, no source.
func (l Lesson) Steps() []string {
	return steps[l.Key]
}

var steps = map[string][]string{
	"short":          {"do-near", "do-along", "do-finger", "do-pull"},
	"long":           {"do-near", "do-across", "do-finger", "do-pull"},
	"narrow":         {"do-near", "do-finger", "do-flat", "do-pull"},
	"wide":           {"do-near", "do-finger", "do-up", "do-pull"},
	"light":          {"do-finger", "do-further", "do-pull"},
	"heavy":          {"do-finger", "do-closer", "do-pull"},
	piece.Triangular: {"do-thick-away", "do-follow", "do-last-cut", "do-pull"},
	piece.Small:      {"do-along", "do-flat", "do-no-trim"},
	"cover":          {"do-along", "do-flat", "do-no-trim"},
	piece.Ragged:     {"do-keen", "do-hold", "do-pull", "do-face"},
	"skewed":         {"do-up", "do-across", "do-pull"},
	piece.NoKoba:     {"do-finger", "do-pull", "do-koba"},
	"wedge-along":    {"do-finger", "do-level", "do-pull"},
	"wedge-across":   {"do-finger", "do-last-cut", "do-pull"},
	"lengths-drift":  {"do-tail", "do-turn-on"},
	"widths-drift":   {"do-tail", "do-follow"},
	"lengths-even":   {"do-near", "do-hold", "do-pull"},
	"widths-even":    {"do-finger", "do-last-cut", "do-pull"},
	"weights-even":   {"do-hold", "do-step", "do-pull"},
	"open":           {"do-open"},
	"aside":          {"do-aside"},
}

// Common is the fault that most slices fail by, or most are close to where none
// fails; empty where there is none, and none that asks what its piece is. Of two as common it is the first by name.
func Common(ps []piece.Piece) string {
	for _, unsure := range []bool{false, true} {
		count := map[string]int{}
		most := ""
		for _, p := range ps {
			for _, f := range p.Faults {
				if f.Unsure == unsure && !Asks(f) {
					count[f.Key()]++
				}
			}
		}
		for key, n := range count {
			if n > count[most] || n == count[most] && key < most {
				most = key
			}
		}
		if most != "" {
			return most
		}
	}
	return ""
}

// faultTips speak of the faults that no size explains: an edge, a lean, a koba that
// was left out.
func faultTips(ps []piece.Piece) []tip {
	var out []tip
	for _, key := range []string{piece.NoKoba, piece.Ragged, "skewed"} {
		n := 0
		for _, p := range ps {
			for _, f := range p.Faults {
				if f.Key() == key && !f.Unsure {
					n++
				}
			}
		}
		if n > 0 {
			says := phrase.Named("some-are", "is-"+key).With(float64(n), float64(len(ps)))
			out = append(out, tip{n, says.And(phrase.Named("to-teach", "lesson-"+key))})
		}
	}
	return out
}
