// Package eye tells how well people judge slices by looking: by how much a guess is off,
// whether it is near enough, and what somebody gets wrong as a habit. It knows no
// pictures and keeps nothing. Lengths are in mm, weights in g, shares from 0 to 1.
package eye

import (
	"cmp"
	"math"
	"slices"
	"time"

	"gonum.org/v1/gonum/stat"

	"netagauge/internal/core/piece"
	"netagauge/internal/core/uncertainty"
	"netagauge/internal/judge/standard"
)

// Again is what is guessed of a slice of one's own tray, before its result is shown: 1
// that it will have to be cut again, 0 that it will not.
const Again = "again"

// Asked are the measures that an eye is trained on; rice cover is answered by yes (1) or
// no (0).
func Asked() []*piece.Measure {
	return []*piece.Measure{piece.Length, piece.Width, piece.Weight, piece.Cover}
}

// Kind is what an eye is good or bad at: a measure of a fish.
type Kind struct {
	Fish    string // a species' name; empty where none was told
	Measure string // key of a measure, or Again
}

// Guess is one, with the truth that it was held against.
type Guess struct {
	ID   string // given by the phone: what is sent twice counts once
	By   string
	Card string // which slice it was
	Kind
	Guess, Truth float64
	U            float64 // of the truth
	Within       float64 // how far off is still right
	At           time.Time
}

// Right reports whether the guess is near enough.
func (g Guess) Right() bool { return math.Abs(g.Guess-g.Truth) <= g.Within }

// Off is by how much it is too large.
func (g Guess) Off() float64 { return g.Guess - g.Truth }

// nearShare is how much of what the house lets a slice be off a guess may be off: an eye
// that is to find slices at the limit must be better than the limit. Our setting.
const nearShare = 0.5

// roughShare is how far off a guess may be where the house sets no band. Our setting.
const roughShare = 0.05

// Question is one that may be asked of a slice: the truth, and how far off a guess may be.
type Question struct {
	Measure   *piece.Measure
	Truth     float64
	U, Within float64
}

// Questions are those that a slice can answer: what is not known, or an estimate, or not
// known better than a guess has to be, is no truth to learn from.
func Questions(p piece.Piece, house standard.Standard, group string) []Question {
	var out []Question
	for _, m := range Asked() {
		v := *m.Of(&p)
		if !v.Known || v.Estimate {
			continue
		}
		if m == piece.Cover {
			if math.Abs(v.X-house.Rice.CoverFloor) > v.U {
				out = append(out, Question{m, covers(v.X, house), 0, 0.5})
			}
			continue
		}
		within := roughShare * v.X
		if b, ok := house.Band(m, group); ok && b.High > b.Low {
			within = nearShare * (b.High - b.Low) / 2
		}
		if v.U <= within {
			out = append(out, Question{m, v.X, v.U, within})
		}
	}
	return out
}

func covers(share float64, house standard.Standard) float64 {
	if share >= house.Rice.CoverFloor {
		return 1
	}
	return 0
}

// Reading is how somebody's guesses of one kind lie. A yes or no has no bias and no
// spread.
type Reading struct {
	Kind
	N, Right int
	Bias     float64 // mean of what guesses are off
	BiasU    float64 // half of its 95 % interval; 0 for a single guess
	Spread   float64 // standard deviation; 0 for a single guess
}

// Numbers reports whether the kind is guessed in numbers.
func (k Kind) Numbers() bool { return k.Measure != Again && k.Measure != piece.Cover.Key }

// Sure reports whether guesses are off as a habit and not by chance: 95 % of the
// interval lies on one side.
func (r Reading) Sure() bool { return r.BiasU > 0 && math.Abs(r.Bias) > r.BiasU }

// Readings sums up guesses by kind, the most often guessed kind first. The interval of the
// bias is Student's, of a mean of independent readings (JCGM 100:2008, 4.2 and G.3).
func Readings(all []Guess) []Reading {
	off := map[Kind][]float64{}
	right := map[Kind]int{}
	for _, g := range all {
		off[g.Kind] = append(off[g.Kind], g.Off())
		if g.Right() {
			right[g.Kind]++
		}
	}
	var out []Reading
	for k, d := range off {
		r := Reading{Kind: k, N: len(d), Right: right[k]}
		if k.Numbers() {
			r.Bias = stat.Mean(d, nil)
		}
		if n := float64(len(d)); n > 1 && k.Numbers() {
			r.Spread = stat.StdDev(d, nil)
			r.BiasU = uncertainty.Student(n-1) * r.Spread / math.Sqrt(n)
		}
		out = append(out, r)
	}
	slices.SortFunc(out, func(a, b Reading) int {
		return cmp.Or(cmp.Compare(b.N, a.N), cmp.Compare(a.Fish, b.Fish), cmp.Compare(a.Measure, b.Measure))
	})
	return out
}

// Day is the share of right guesses on one day.
type Day struct {
	On       time.Time // its first guess
	N, Right int
}

// Days are those on which somebody guessed, the earliest first. A day is one of the clock
// of whoever asks.
func Days(all []Guess) []Day {
	all = slices.Clone(all)
	slices.SortStableFunc(all, func(a, b Guess) int { return a.At.Compare(b.At) })
	var out []Day
	for _, g := range all {
		if n := len(out); n == 0 || out[n-1].On.Local().Format(time.DateOnly) != g.At.Local().Format(time.DateOnly) {
			out = append(out, Day{On: g.At})
		}
		d := &out[len(out)-1]
		d.N++
		if g.Right() {
			d.Right++
		}
	}
	return out
}
