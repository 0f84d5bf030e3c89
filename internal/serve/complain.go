package serve

import (
	"errors"

	"netagauge/internal/core/phrase"
	"netagauge/internal/judge/coach"
	"netagauge/internal/judge/plan"
	"netagauge/internal/judge/standard"
)

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

// wrongBlock says why a block cannot be planned. The sizes are as typed; the house
// asks for the slices.
func wrongBlock(l lang, err error, d planData, house standard.Standard) *complaint {
	size, _ := d.sizes()
	target := coach.TargetOf(house, "")
	var told *phrase.Error
	switch {
	case errors.As(err, &told):
		return complain(l, err, "")
	case errors.Is(err, plan.ErrTooSmall):
		return complain(l, err, "wrong-small")
	case size[1] > target.LengthAim:
		return complain(l, err, "wrong-wide", trimmed(size[1]), trimmed(target.LengthAim))
	case size[2] > target.WidthAim:
		return complain(l, err, "wrong-high", trimmed(size[2]), trimmed(target.WidthAim))
	}
	return complain(l, err, "wrong-sizes")
}

// errSizes is a block whose sizes are not typed as numbers.
var errSizes = phrase.Wrong("wrong-numbers")
