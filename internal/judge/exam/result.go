package exam

import (
	"math"

	"netagauge/internal/core/piece"
	"netagauge/internal/judge/evidence"
)

// Counts reports whether the tray counts: it came in time, or an instructor let it.
func (t Tray) Counts() bool { return !t.Late || t.Allowed != "" }

// Results are what the acts so far come to, by number.
//
// A slice on which both instructors say the same is what they say. Where they differ,
// or one has not spoken, the measurement decides; a close call counts as the standard
// says, and a slice without numbers is not good. Slices and trays that the task asks
// for and that are not there are not good. How much alike the slices of a tray are is
// told by the trays of all candidates together.
func (e *Exam) Results() Closing { return e.resultsBy(e.alike()) }

// alike is by how much a tray's slices are more alike than a candidate's, by the trays
// that count.
func (e *Exam) alike() evidence.Effect {
	var hands [][]evidence.Part
	for _, number := range e.Numbers {
		var trays []evidence.Part
		for _, t := range e.Trays {
			if t.Number == number && t.Counts() {
				trays = append(trays, e.Part(t))
			}
		}
		hands = append(hands, trays)
	}
	return evidence.EffectOf(hands...)
}

func (e *Exam) resultsBy(alike evidence.Effect) Closing {
	out := Closing{Design: short(alike.Design)}
	for _, number := range e.Numbers {
		good := evidence.Part{}
		for place := range e.Task.Trays {
			part := evidence.Part{Of: e.Task.Slices}
			if t, there := e.Tray(number, place+1); there && t.Counts() {
				part = e.Part(t)
			}
			good.N, good.Of = good.N+part.N, good.Of+part.Of
		}
		exact := good.Exact(alike)
		out.Results = append(out.Results, Result{Number: number, Good: good.N, Of: good.Of, Low: short(exact.Low), High: short(exact.High),
			Above: short(good.Above(e.Task.Mark, alike)), Passes: good.Share() >= e.Task.Mark})
	}
	if a := evidence.Agree(e.pairs()); a.Slices > 0 {
		out.Agreement = &Agreed{Pieces: a.Slices, Same: a.Same.N, Known: a.Known, Kappa: short(a.Kappa.Value), Low: short(a.Kappa.Low), High: short(a.Kappa.High)}
	}
	return out
}

// short keeps six decimals: what is kept is to be the same on every computer.
func short(x float64) float64 { return math.Round(x*1e6) / 1e6 }

// Part is how many slices of a tray are good, of all that are there or should be.
func (e *Exam) Part(t Tray) evidence.Part {
	var out evidence.Part
	for _, s := range t.Pieces {
		switch e.Says(t, s) {
		case piece.SaidGood:
			out.N, out.Of = out.N+max(1, s.Slices), out.Of+max(1, s.Slices)
		case piece.SaidAgain:
			out.Of += max(1, s.Slices)
		}
	}
	out.Of = max(out.Of, e.Task.Slices)
	return out
}

// Says is what counts of a piece: piece.SaidGood, SaidAgain or NotASlice.
func (e *Exam) Says(t Tray, s Seen) string {
	if a, b := e.Both(t, s.Piece); a != "" && a == b {
		return a
	}
	switch {
	case s.Slices == 0:
		return piece.NotASlice
	case s.Verdict == piece.Pass, s.Verdict == piece.Unsure && e.Task.Close:
		return piece.SaidGood
	}
	return piece.SaidAgain
}

// Both are the words of the two instructors about a piece; empty where one has none.
func (e *Exam) Both(t Tray, number int) (a, b string) {
	var out [judges]string
	for i, who := range e.Judges {
		out[i] = t.Words[who][number]
	}
	return out[0], out[1]
}

// pairs are the pieces that both have judged, of trays that count.
func (e *Exam) pairs() (out [][2]string) {
	for _, t := range e.Trays {
		for _, s := range t.Pieces {
			if a, b := e.Both(t, s.Piece); a != "" && b != "" && t.Counts() {
				out = append(out, [2]string{a, b})
			}
		}
	}
	return out
}

// Unjudged is how many trays that count have not been judged by two.
func (e *Exam) Unjudged() (n int) {
	for _, t := range e.Trays {
		if t.Counts() && len(t.Words) < judges {
			n++
		}
	}
	return n
}

// Result is that of a number, once the exam is closed.
func (e *Exam) Result(number int) (Result, bool) {
	if e.Closing != nil {
		for _, r := range e.Closing.Results {
			if r.Number == number {
				return r, true
			}
		}
	}
	return Result{}, false
}
