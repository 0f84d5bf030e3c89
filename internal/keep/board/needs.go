package board

import (
	"cmp"
	"slices"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/judge/standard"
)

// Need is a trainee whom the teacher visits next, and why.
type Need struct {
	Trainee string
	Why     phrase.Text
	Fault   Fault // what to show; empty where the photo is the trouble
	urgent  int
}

// How urgent a need is. The order is ours, no source: who cannot go on at all, then
// whom practice alone does not help, then who slips.
const (
	slips = iota + 1
	worse
	stuck
	shut
)

// Needs are those who need the teacher now, the most urgent first.
func (b Board) Needs() []Need {
	var out []Need
	for _, t := range b.Trainees {
		if n, ok := need(t, b.Ticket.Standard); ok {
			out = append(out, n)
		}
	}
	slices.SortStableFunc(out, func(a, b Need) int { return cmp.Compare(b.urgent, a.urgent) })
	return out
}

func need(t Trainee, house standard.Standard) (Need, bool) {
	last := len(t.Photos) - 1
	if last < 0 {
		return Need{}, false
	}
	if last >= 1 && t.Photos[last].Refused && t.Photos[last-1].Refused {
		return Need{t.Name, phrase.Of("need-refused").And(t.Photos[last].Problem), "", shut}, true
	}
	var trays []Photo // those with slices
	for _, p := range t.Photos {
		if p.Count.Measured() > 0 {
			trays = append(trays, p)
		}
	}
	hidden := float64(t.Photos[last].Count.NotMeasured)
	incomplete := Need{t.Name, phrase.Of("need-incomplete", hidden), "", slips}
	if len(trays) == 0 {
		return incomplete, hidden > 0
	}
	now := trays[len(trays)-1]
	fault, n := commonest(now, house)
	if fault == "" {
		return incomplete, hidden > 0
	}
	says := func(key string) phrase.Text { return phrase.Named(key, fault.Is()) }
	switch {
	case len(trays) >= 3 && habit(trays[len(trays)-2], fault, house) && habit(trays[len(trays)-3], fault, house) && habit(now, fault, house):
		return Need{t.Name, says("need-thrice"), fault, stuck}, true
	case len(trays) >= 2 && againShare(now) > againShare(trays[len(trays)-2])+often:
		return Need{t.Name, says("need-worse"), fault, worse}, true
	case 2*n >= now.Count.Measured():
		return Need{t.Name, says("need-again").With(float64(n), float64(now.Count.Measured())), fault, slips}, true
	}
	return incomplete, hidden > 0
}

func againShare(p Photo) float64 {
	return float64(p.Count.Again) / float64(max(1, p.Count.Measured()))
}

// countOf is how many slices of a photo have a fault.
func countOf(p Photo, f Fault, house standard.Standard) (n int) {
	for _, s := range p.Slices {
		if s.State == piece.Measured && slices.Contains(faultsOf(s, house), f) {
			n++
		}
	}
	return n
}

// habit reports whether a fault is in so many slices of a tray that it is no slip.
func habit(p Photo, f Fault, house standard.Standard) bool {
	n := countOf(p, f, house)
	return n >= 2 && float64(n) >= often*float64(p.Count.Measured())
}

// commonest is the fault that most slices of a photo have; of two as common the first
// by name.
func commonest(p Photo, house standard.Standard) (most Fault, n int) {
	for _, s := range p.Slices {
		if s.State != piece.Measured {
			continue
		}
		for _, f := range faultsOf(s, house) {
			if c := countOf(p, f, house); c > n || c == n && f < most {
				most, n = f, c
			}
		}
	}
	return most, n
}
