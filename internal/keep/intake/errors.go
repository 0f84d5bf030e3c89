package intake

import (
	"errors"

	"netagauge/internal/keep/sqlite"
)

// Why a photo is not taken in, or a folder not opened. They come wrapped with
// the facts; the sentences are for the person.
var (
	ErrBusy        = errors.New("too many photos are waiting; try again in a minute")
	ErrTooLarge    = errors.New("the photo is too large")
	ErrNotAPhoto   = errors.New("this is not a photo that can be read; send a JPEG, PNG or HEIC picture")
	ErrDeep        = errors.New("the photo has more than 8 bits a colour; switch HDR photos off in the phone's camera, or set its format to JPEG")
	ErrCutShort    = errors.New("the photo did not arrive whole; send it again")
	ErrFull        = sqlite.ErrFull
	ErrReadOnly    = sqlite.ErrReadOnly
	ErrInUse       = errors.New("another netagauge serves this folder; stop that one, or name another folder")
	ErrLocked      = sqlite.ErrLocked
	ErrDamaged     = sqlite.ErrDamaged
	ErrNoList      = errors.New("its list intake.sqlite is gone, and without it nobody knows whose photos these are; put the file back, or keep the folder as it is and restore a backup into an empty one (netagauge restore)")
	ErrNoBook      = errors.New("its record book book.sqlite is gone, though photos were measured; put the file back, or keep the folder as it is and restore a backup into an empty one (netagauge restore)")
	ErrUnknown     = errors.New("there is no such photo")
	ErrSamePhoto   = errors.New("this is the first photo once more; move the phone sideways and take another")
	ErrManySeconds = errors.New("this tray has had its second photos; take a new first photo of it")
	ErrNoSession   = errors.New("there is no such class or line")
)

var errRestoring = errors.New("a restore into it did not finish; empty the folder and restore again")

// saidError is an error whose cause is one of ours: a person reads only the
// sentence, and a caller can ask for the cause.
type saidError struct{ sentence, cause error }

func (e saidError) Error() string   { return e.sentence.Error() }
func (e saidError) Unwrap() []error { return []error{e.sentence, e.cause} }

// plain turns the words of the system and of SQLite into what a person can act
// on. What it does not know it leaves.
func plain(err error) error {
	var known saidError
	if errors.As(err, &known) {
		return err
	}
	return sqlite.Plain(err)
}
