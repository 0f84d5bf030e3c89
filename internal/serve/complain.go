package serve

import "netagauge/internal/core/phrase"

// complain words what is wrong with what was entered, in the page's language. An
// error that has no words is logged, and a key says what it is about.
func (s *Server) complain(l lang, err error, key string) string {
	if says, ok := phrase.In(l, err); ok {
		return capital(says)
	}
	s.Log.Error("read what was entered", "err", err)
	return l.Word(key)
}

// errSizes is a block whose sizes are not typed as numbers.
var errSizes = phrase.Wrong("wrong-numbers")
