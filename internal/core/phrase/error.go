package phrase

import (
	"errors"
	"strings"
)

// Error is what went wrong, told to a person: each language says it in its own
// words. As an error like any other it speaks English.
type Error struct {
	Says  Text
	Cause error // may be nil
}

// Wrong is an error that a key tells.
func Wrong(key string, numbers ...float64) *Error { return &Error{Says: Of(key, numbers...)} }

// WrongName is an error that a key tells with names.
func WrongName(key string, names ...string) *Error { return &Error{Says: Named(key, names...)} }

func (e *Error) Error() string { return English().Must(e.Says) }
func (e *Error) Unwrap() error { return e.Cause }

// With is e with numbers beside its names.
func (e *Error) With(numbers ...float64) *Error { return &Error{e.Says.With(numbers...), e.Cause} }

// Telling is what an error tells, however it is wrapped; one that holds none of
// ours is its sentence as it is.
func Telling(err error) Text {
	if e := (*Error)(nil); errors.As(err, &e) {
		return e.Says
	}
	return Named("as-kept", err.Error())
}

// In says an error in a language, however it is wrapped: each of several in a
// line of its own. It reports false for errors that hold none of ours.
func In(l *Language, err error) (string, bool) {
	switch e := err.(type) {
	case nil:
		return "", false
	case *Error:
		return l.Must(e.Says), true
	case interface{ Unwrap() []error }:
		var lines []string
		for _, one := range e.Unwrap() {
			if s, ok := In(l, one); ok {
				lines = append(lines, s)
			}
		}
		return strings.Join(lines, "\n"), len(lines) > 0
	}
	return In(l, errors.Unwrap(err))
}
