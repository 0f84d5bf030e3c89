package piece

import (
	"slices"
	"strings"

	"netagauge/internal/core/phrase"
)

// Fact is one thing that a result rests on, such as the date of the photo, the
// density or what the house asks: by the key of its name (fact-WHAT), and what it was.
type Fact struct {
	What  string            `json:"what"`
	Value string            `json:"value"`
	Says  phrase.Text       `json:"value_parts"`           // the same, for other languages
	Names map[string]string `json:"value_names,omitempty"` // of something that has names of its own, by the language's tag
}

// FactKeys are the facts in the order that every output has.
var FactKeys = []string{"photo", "mat", "print-scale", "species", "density", "temperature", "thickness", "lay", "sheet", "standard"}

// FactColumn is a fact's name in files.
func FactColumn(key string) string { return "rests_on_" + strings.ReplaceAll(key, "-", "_") }

// FactColumns are those of all facts.
func FactColumns() (out []string) {
	for _, key := range FactKeys {
		out = append(out, FactColumn(key))
	}
	return out
}

// FactCells are the facts' values in the order of FactColumns, nil for one that is
// not among them.
func FactCells(facts []Fact) []any {
	out := make([]any, len(FactKeys))
	for _, f := range facts {
		if i := slices.Index(FactKeys, f.What); i >= 0 {
			out[i] = f.Value
		}
	}
	return out
}

// NewFact has its English words.
func NewFact(what string, says phrase.Text) Fact {
	return Fact{What: what, Value: phrase.English().Must(says), Says: says}
}

// Apart are the facts of a tray that those of its class do not tell.
func Apart(tray, class []Fact) (out []Fact) {
	told := map[string]string{}
	for _, f := range class {
		told[f.What] = f.Value
	}
	for _, f := range tray {
		if v, known := told[f.What]; !known || v != f.Value {
			out = append(out, f)
		}
	}
	return out
}
