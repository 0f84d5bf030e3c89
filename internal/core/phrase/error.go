package phrase

import (
	"context"
	"errors"
	"io/fs"
	"net"
	"os"
	"syscall"
)

// Error is what went wrong, told to a person: each language says it in its own
// words. As an error like any other it speaks English.
type Error struct {
	Says  Text
	Cause error // may be nil
}

// Wrong is an error that a key tells, with numbers and names as they come.
func Wrong(key string, a ...any) *Error { return &Error{Says: Text{part(key, a)}} }

// Because is an error that a key tells, and its cause after that.
func Because(cause error, key string, a ...any) *Error {
	return &Error{Text{part(key, a)}.And(Of("because"), Telling(cause)), cause}
}

// At is an error after the place where it is, such as a file.
func At(place string, cause error) *Error { return Because(cause, "as-kept", place) }

// For is e as what a person reads of a cause in the words of a library. Both can be
// asked for.
func (e *Error) For(cause error) *Error { return &Error{e.Says, errors.Join(e, cause)} }

// Since is e with a cause that is said after it. Both can be asked for.
func (e *Error) Since(cause error) *Error {
	return &Error{e.Says.And(Of("because"), Telling(cause)), errors.Join(e, cause)}
}

func (e *Error) Error() string { return English().Must(e.Says) }
func (e *Error) Unwrap() error { return e.Cause }

// Telling is what an error tells, however it is wrapped; of several each in a line
// of its own. One that is neither ours nor the system's is its sentence as it is.
func Telling(err error) Text {
	if says, ok := ours(err); ok {
		return says
	}
	if says := system(err); says != nil {
		return says
	}
	return Named("as-kept", err.Error())
}

// In says an error in a language. It reports false for errors that hold none of
// ours.
func In(l *Language, err error) (string, bool) {
	says, ok := ours(err)
	return l.Must(says), ok
}

func ours(err error) (says Text, ok bool) {
	switch e := err.(type) {
	case nil:
		return nil, false
	case *Error:
		return e.Says, true
	case interface{ Unwrap() []error }:
		for _, one := range e.Unwrap() {
			line, ok := ours(one)
			if ok && says != nil {
				says = says.And(Of("new-line"))
			}
			says = says.And(line)
		}
		return says, says != nil
	}
	return ours(errors.Unwrap(err))
}

// troubles are what the system says, and its words in the phrasebook.
var troubles = []struct {
	is  error
	key string
}{
	{fs.ErrNotExist, "system-gone"}, {fs.ErrExist, "system-there"}, {fs.ErrPermission, "system-forbidden"}, {syscall.ENOSPC, "system-full"},
	{syscall.EISDIR, "system-folder"}, {syscall.ENOTDIR, "system-no-folder"}, {syscall.EROFS, "system-read-only"},
	{syscall.EADDRINUSE, "system-address-taken"}, {context.Canceled, "system-stopped"},
}

// system is what an error of the operating system tells: the file or address that
// it is about, and why. nil for others.
func system(err error) Text {
	place := ""
	if e := (*fs.PathError)(nil); errors.As(err, &e) {
		place = e.Path
	} else if e := (*os.LinkError)(nil); errors.As(err, &e) {
		place = e.New
	} else if e := (*net.OpError)(nil); errors.As(err, &e) && e.Addr != nil {
		place = e.Addr.String()
	}
	for _, t := range troubles {
		if !errors.Is(err, t.is) {
			continue
		}
		if place == "" {
			return Of(t.key)
		}
		return Named("as-kept", place).And(Of("because"), Of(t.key))
	}
	return nil
}
