package serve

import "netagauge/internal/core/phrase"

// complaint is what is wrong with what was entered: in the page's language, and
// in the program's own words where those are another's.
type complaint struct{ Text, Detail string }

// complain words an error: in English as the program does, with its numbers, else
// by a key.
func complain(l lang, err error, key string, a ...any) *complaint {
	if s, ok := phrase.In(l, err); ok {
		return &complaint{Text: capital(s)}
	}
	return &complaint{l.Word(key, a...), err.Error()}
}

// errSizes is a block whose sizes are not typed as numbers.
var errSizes = phrase.Wrong("wrong-numbers")
