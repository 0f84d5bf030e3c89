package sqlite

import (
	"errors"
	"io/fs"
	"syscall"

	"github.com/mattn/go-sqlite3"
)

// What may be wrong with the disk or a file on it, with what to do; the causes come
// wrapped in them.
var (
	ErrFull     = errors.New("the disk is full; make room and try again")
	ErrReadOnly = errors.New("it may not be written to; check its permissions and whether the disk is mounted read-only")
	ErrLocked   = errors.New("another program has it open and does not let go; try again")
	ErrDamaged  = errors.New("the file is damaged; keep the folder as it is, and restore a backup into an empty one (netagauge restore)")
)

// trouble marks an error whose cause is one of ours, so that a person reads only the
// sentence and a caller can ask for the cause.
type trouble struct{ sentence, cause error }

func (e trouble) Error() string   { return e.sentence.Error() }
func (e trouble) Unwrap() []error { return []error{e.sentence, e.cause} }

// Plain turns the words of the system and of SQLite into what a person can act on.
// What it does not know it leaves.
func Plain(err error) error {
	var known trouble
	if err == nil || errors.As(err, &known) {
		return err
	}
	if s := sentence(err); s != nil {
		return trouble{s, err}
	}
	return err
}

func sentence(err error) error {
	var lite sqlite3.Error
	if errors.As(err, &lite) {
		switch lite.Code {
		case sqlite3.ErrFull:
			return ErrFull
		case sqlite3.ErrReadonly, sqlite3.ErrPerm, sqlite3.ErrCantOpen:
			return ErrReadOnly
		case sqlite3.ErrBusy, sqlite3.ErrLocked:
			return ErrLocked
		case sqlite3.ErrCorrupt, sqlite3.ErrNotADB:
			return ErrDamaged
		}
		err = lite.SystemErrno
	}
	switch {
	case errors.Is(err, syscall.ENOSPC), errors.Is(err, syscall.EDQUOT), errors.Is(err, syscall.EFBIG):
		return ErrFull
	case errors.Is(err, syscall.EROFS), errors.Is(err, fs.ErrPermission):
		return ErrReadOnly
	}
	return nil
}
