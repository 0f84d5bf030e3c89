package intake

import (
	"errors"
	"io/fs"
	"syscall"

	"github.com/mattn/go-sqlite3"
)

// Why a photo is not taken in, or a folder not opened. They come wrapped with
// the facts; the sentences are for the person.
var (
	ErrBusy        = errors.New("too many photos are waiting; try again in a minute")
	ErrTooLarge    = errors.New("the photo is too large")
	ErrNotAPhoto   = errors.New("this is not a photo that can be read; send a JPEG, PNG or HEIC picture")
	ErrDeep        = errors.New("the photo has more than 8 bits a colour; switch HDR photos off in the phone's camera, or set its format to JPEG")
	ErrCutShort    = errors.New("the photo did not arrive whole; send it again")
	ErrFull        = errors.New("the disk is full; make room and try again")
	ErrReadOnly    = errors.New("it may not be written to; check its permissions and whether the disk is mounted read-only")
	ErrInUse       = errors.New("another netagauge serves this folder; stop that one, or name another folder")
	ErrLocked      = errors.New("another program has the list open and does not let go; try again")
	ErrDamaged     = errors.New("the list is damaged; keep the folder as it is, and restore a backup into an empty one")
	ErrNoList      = errors.New("its list intake.sqlite is gone, and without it nobody knows whose photos these are; put the file back, or keep the folder as it is and restore a backup into an empty one (netagauge restore)")
	ErrNoBook      = errors.New("its record book book.sqlite is gone, though photos were measured; put the file back, or keep the folder as it is and restore a backup into an empty one (netagauge restore)")
	ErrUnknown     = errors.New("there is no such photo")
	ErrSamePhoto   = errors.New("this is the first photo once more; move the phone sideways and take another")
	ErrManySeconds = errors.New("this tray has had its second photos; take a new first photo of it")
	ErrNoSession   = errors.New("there is no such class or line")
)

var errRestoring = errors.New("a restore into it did not finish; empty the folder and restore again")

// told marks an error whose cause is one of ours, so that a person reads only
// the sentence and a caller can ask for the cause.
type toldError struct{ sentence, cause error }

func (e toldError) Error() string   { return e.sentence.Error() }
func (e toldError) Unwrap() []error { return []error{e.sentence, e.cause} }

// plain turns the words of the system and of SQLite into what a person can act
// on. What it does not know it leaves.
func plain(err error) error {
	var known toldError
	if err == nil || errors.As(err, &known) {
		return err
	}
	if s := sentence(err); s != nil {
		return toldError{s, err}
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
