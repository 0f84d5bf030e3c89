package eye

import (
	"time"

	"netagauge/internal/judge/evidence"
)

// Class is one that somebody cut in, and how it went.
type Class struct {
	On    time.Time
	Grade float64 // percent
}

// Lead is whether the eye is ahead of the hand: how far the share of right guesses before
// a class goes with its grade, and a grade with the guesses after it, each beyond what
// the weeks bring to both (evidence.Along). Correlations, -1 to 1.
type Lead struct {
	Classes       int // that could be compared
	Eye, Hand     evidence.Interval
	EyeOK, HandOK bool // known: there are enough of them, and they differ
}

// leadGuesses are as many as a share of right ones takes. Our setting.
const leadGuesses = 5

// Leads compares guesses with classes, the earliest first. The guesses before a class are
// those since the day of the class before it; those of its own day count as after it.
func Leads(guesses []Guess, classes []Class) Lead {
	var out Lead
	var before, after struct{ eye, hand, day []float64 }
	for i, c := range classes {
		from, to := time.Time{}, midnight(c.On)
		if i > 0 {
			from = midnight(classes[i-1].On)
		}
		right, n := rightIn(guesses, from, to)
		if n < leadGuesses {
			continue
		}
		share, day := float64(right)/float64(n), float64(i)
		before.eye, before.hand, before.day = append(before.eye, share), append(before.hand, c.Grade), append(before.day, day)
		if i > 0 {
			after.eye, after.hand, after.day = append(after.eye, share), append(after.hand, classes[i-1].Grade), append(after.day, day)
		}
	}
	out.Classes = len(before.eye)
	out.Eye, out.EyeOK = evidence.Along(before.eye, before.hand, before.day)
	out.Hand, out.HandOK = evidence.Along(after.hand, after.eye, after.day)
	return out
}

func rightIn(guesses []Guess, from, to time.Time) (right, n int) {
	for _, g := range guesses {
		if !g.At.Before(from) && g.At.Before(to) {
			n++
			if g.Right() {
				right++
			}
		}
	}
	return right, n
}

// midnight is where a day begins, by the clock of whoever asks.
func midnight(t time.Time) time.Time {
	y, m, d := t.Local().Date()
	return time.Date(y, m, d, 0, 0, 0, 0, time.Local)
}

// Says is the key of what can be said of it: the eye leads, the hand does, both go
// together, it cannot be told, or there are too few classes.
func (l Lead) Says() string {
	eye, hand := l.EyeOK && l.Eye.Low > 0, l.HandOK && l.Hand.Low > 0
	switch {
	case !l.EyeOK:
		return "lead-few"
	case eye && hand:
		return "lead-both"
	case eye:
		return "lead-eye"
	case hand:
		return "lead-hand"
	}
	return "lead-open"
}
