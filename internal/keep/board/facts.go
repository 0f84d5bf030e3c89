package board

import (
	"slices"
	"strings"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
)

// Facts are what the class's results rest on: what all of its photos share, what was
// told of the class, and from when to when they were taken.
func (b Board) Facts() (out []piece.Fact) {
	told := map[string]piece.Fact{}
	for _, f := range b.Ticket.Facts(nil) {
		told[f.What] = f
	}
	for what, f := range b.shared() {
		told[what] = f
	}
	for _, key := range piece.FactKeys {
		if f, ok := told[key]; ok {
			out = append(out, f)
		}
	}
	return out
}

// FactsOf are those of a photo that its class's do not tell.
func (b Board) FactsOf(p Photo) []piece.Fact {
	return slices.DeleteFunc(piece.Apart(p.Facts, b.Facts()), func(f piece.Fact) bool { return f.What == "thickness" && p.Thickness != "" })
}

// shared are the facts that are the same in all photos that have any.
func (b Board) shared() map[string]piece.Fact {
	out, n, times := map[string]piece.Fact{}, map[string]int{}, []string{}
	photos := 0
	for _, t := range b.Trainees {
		for _, p := range t.Photos {
			if len(p.Facts) > 0 {
				photos++
			}
			for _, f := range p.Facts {
				if had, ok := out[f.What]; !ok || had.Value == f.Value {
					out[f.What] = f
					n[f.What]++
				}
				if f.What == "photo" && strings.HasPrefix(f.Value, "2") {
					times = append(times, f.Value)
				}
			}
		}
	}
	for what := range out {
		if n[what] < photos {
			delete(out, what)
		}
	}
	if len(times) > 1 && slices.Min(times) != slices.Max(times) {
		out["photo"] = piece.NewFact("photo", phrase.Named("between", slices.Min(times), slices.Max(times)))
	}
	return out
}
