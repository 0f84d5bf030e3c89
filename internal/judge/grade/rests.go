package grade

import (
	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/judge/weight"
)

// fromWeight are the sources of a slice's own weight, with the keys of their words,
// the surest first.
var fromWeight = []struct{ source, key string }{
	{weight.FromScale, "rests-scale"}, {weight.FromSecondPhoto, "rests-second"},
	{weight.FromEntered, "rests-told"}, {weight.FromProfile, "rests-profile"},
}

// restsOn says what the values of a measure rest on, and for how many slices each:
// a grade says so beside its points, so that nothing begins to count unsaid.
func restsOn(m *piece.Measure, measured []Slice) phrase.Text {
	bySource, n := map[string]int{}, 0
	for _, s := range measured {
		if m.Of(&s.Piece).Counts() {
			source := s.Thickness.Source
			if source == "" {
				source = weight.FromEntered // of a result that did not keep it
			}
			bySource[source]++
			n++
		}
	}
	switch {
	case n == 0:
		return phrase.Of("rests-nothing")
	case m != piece.Weight:
		return phrase.Of("rests-photo", float64(n))
	}
	var says phrase.Text
	for _, from := range fromWeight {
		if k := bySource[from.source]; k > 0 {
			if says != nil {
				says = says.And(phrase.Of("rests-and"))
			}
			says = says.And(phrase.Of(from.key, float64(k)))
		}
	}
	return says
}
