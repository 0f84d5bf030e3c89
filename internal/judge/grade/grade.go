// Package grade turns a trainee's measured trays into points by the scheme of
// the house standard, criterion by criterion, each traced to its pieces. A
// criterion without data is said to have none and left out of the sum; nothing
// is guessed. Lengths are in mm, weights in g, shares from 0 to 1. It measures
// nothing and knows no trainee.
package grade

import (
	"gonum.org/v1/gonum/stat"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/judge/standard"
)

// Tray is one photo's report and what a person decided about its pieces, by the
// number that they have in it.
type Tray struct {
	File      string
	Report    piece.Tray
	Overrides map[int]piece.Override
}

// Ref names a piece.
type Ref struct {
	File   string
	Number int
}

// Criterion is one part of a grade. Without data Judged is false, Why says what
// is missing, and the points count neither for nor against.
type Criterion struct {
	Name    string
	Judged  bool
	Share   float64     // of the points, 0 to 1
	Points  float64     // earned
	Of      int         // to be had
	Why     phrase.Text // how it came about, or what is missing
	Rests   phrase.Text // what its values rest on; empty where it is no share of slices
	Within  []Ref       // pieces that speak for it
	Outside []Ref       // pieces that speak against it
	Hidden  int         // slices that were not measured and speak against it
}

// Grade is the sum over the criteria that could be judged.
type Grade struct {
	Points, Of float64
	Criteria   []Criterion
}

// Percent is the share of the points that could be had, in percent; false when
// nothing could be judged.
func (g Grade) Percent() (float64, bool) {
	if g.Of == 0 {
		return 0, false
	}
	return 100 * g.Points / g.Of, true
}

// Of grades the trays of one trainee. minutes is the time they took, 0 when it
// was not entered.
func Of(trays []Tray, minutes float64, s standard.Standard) Grade {
	slices := Slices(trays)
	var measured []Slice
	for _, p := range slices {
		if p.State == piece.Measured {
			measured = append(measured, p)
		}
	}
	p := s.Grading
	hidden := 0
	if p.Unmeasured != standard.UnmeasuredLeftOut {
		hidden = Hidden(trays)
	}
	var all []Criterion
	for _, m := range piece.Judged() {
		all = append(all, within(m, p.Points(m), measured, hidden, s))
	}
	all = append(all, evenness(measured, hidden, p), count(trays, p), pace(trays, minutes, p))
	var g Grade
	for _, c := range all {
		if c.Of == 0 {
			continue // the standard does not ask for it
		}
		if c.Judged {
			c.Points = c.Share * float64(c.Of)
			g.Points += c.Points
			g.Of += float64(c.Of)
		}
		g.Criteria = append(g.Criteria, c)
	}
	return g
}

// within gives points for the share of slices without a fault in a measure, of
// those in which it is known and no other fault explains it, and of the hidden ones.
func within(m *piece.Measure, points int, measured []Slice, hidden int, s standard.Standard) Criterion {
	c := Criterion{Name: m.Key, Of: points, Why: phrase.Of("grade-unmeasured"), Rests: restsOn(m, measured)}
	explained := 0
	for _, p := range measured {
		switch {
		case !m.Of(&p.Piece).Counts():
		case p.Passes(m.Key, s):
			c.Within = append(c.Within, p.Ref())
		case p.explained(m):
			explained++
		default:
			c.Outside = append(c.Outside, p.Ref())
		}
	}
	known := len(c.Within) + len(c.Outside)
	switch {
	case len(measured) == 0:
		return c
	case known == 0 && m == piece.Weight:
		c.Why = phrase.Of("grade-no-weight")
		return c
	case known+explained == 0:
		c.Why = phrase.Named("grade-unknown", m.Key)
		return c
	}
	c.Hidden = hidden
	if of := known + hidden; of > 0 {
		c.Judged, c.Share = true, float64(len(c.Within))/float64(of)
	}
	c.Why = phrase.Of("grade-within", float64(len(c.Within)), float64(known+hidden)).
		And(some("grade-hidden", hidden), some("grade-explained", explained), some("grade-left-out", len(measured)-known-explained))
	return c
}

// some is said where there are any.
func some(key string, n int) phrase.Text {
	if n == 0 {
		return nil
	}
	return phrase.Of(key, float64(n))
}

// leastForSpread is how many slices evenness needs. Our setting: the spread of
// two says next to nothing.
const leastForSpread = 3

// evenness gives points by the mean of the coefficients of variation of length,
// width and, where each slice's own is known, weight. Hidden slices earn none.
func evenness(measured []Slice, hidden int, p standard.Grading) Criterion {
	c := Criterion{Name: "evenness", Of: p.Evenness}
	if len(measured) < leastForSpread {
		c.Why = phrase.Of("grade-few", float64(len(measured)), leastForSpread)
		return c
	}
	pieces := make([]piece.Piece, len(measured))
	for i, m := range measured {
		pieces[i] = m.Piece
		c.Within = append(c.Within, m.Ref())
	}
	var cvs []float64
	c.Why, c.Rests = phrase.Of("grade-variation"), restsOn(piece.Length, measured)
	for _, m := range standard.Banded() {
		if v := m.Values(pieces); len(v) == len(pieces) {
			cvs = append(cvs, variation(v))
			if len(cvs) > 1 {
				c.Why = c.Why.And(phrase.Of("list-comma"))
			}
			c.Why = c.Why.And(phrase.Named("grade-part", m.Key).With(100 * variation(v)))
			if m == piece.Weight {
				c.Rests = c.Rests.And(phrase.Of("rests-and"), restsOn(m, measured))
			}
		}
	}
	c.Judged, c.Hidden = true, hidden
	even := min(1, max(0, (p.UnevenCV-stat.Mean(cvs, nil))/(p.UnevenCV-p.EvenCV)))
	c.Share = even * float64(len(measured)) / float64(len(measured)+hidden)
	c.Why = c.Why.And(some("grade-uneven", hidden))
	return c
}

// variation is the coefficient of variation: sample standard deviation over mean.
func variation(v []float64) float64 {
	mean, sd := stat.MeanStdDev(v, nil)
	return sd / mean
}

// count gives points for the share of trays that hold a multiple of the stack.
// A tray with a piece that may be one slice, two or none is not counted.
func count(trays []Tray, p standard.Grading) Criterion {
	c := Criterion{Name: "count", Of: p.Count}
	known, full, open := 0, 0, 0
	for _, t := range trays {
		n, sure := t.Count()
		switch {
		case t.Report.Status != piece.TrayMeasured:
		case !sure:
			open++
		case n > 0 && n%p.Stack == 0:
			known, full = known+1, full+1
		default:
			known++
		}
	}
	c.Why = phrase.Of("grade-stacks", float64(full), float64(known), float64(p.Stack)).And(some("grade-uncounted", open))
	if known > 0 {
		c.Judged, c.Share = true, float64(full)/float64(known)
	}
	return c
}

// pace gives points for slices a minute, up to what the standard asks.
func pace(trays []Tray, minutes float64, p standard.Grading) Criterion {
	c := Criterion{Name: "pace", Of: p.Pace, Why: phrase.Of("grade-no-minutes")}
	if minutes <= 0 || len(trays) == 0 {
		return c
	}
	slices := 0
	for _, t := range trays {
		n, sure := t.Count()
		if !sure || t.Report.Status != piece.TrayMeasured {
			c.Why = phrase.Of("grade-not-all")
			return c
		}
		slices += n
	}
	rate := float64(slices) / minutes
	c.Judged, c.Share = true, min(1, rate/p.SlicesPerMinute)
	c.Why = phrase.Of("grade-pace", float64(slices), minutes, rate)
	return c
}
