package intake

import (
	"time"

	"netagauge/internal/core/phrase"
	"netagauge/internal/keep/database"
)

// Why a photo is not taken in, or a folder not opened. They come wrapped with
// the facts; the sentences are for the person.
var (
	ErrBusy        = phrase.Wrong("busy-text")
	ErrTooLarge    = phrase.Wrong("too-large")
	ErrNotAPhoto   = phrase.Wrong("not-a-photo")
	ErrDeep        = phrase.Wrong("deep-photo")
	ErrCutShort    = phrase.Wrong("cut-short")
	ErrFull        = database.ErrFull
	ErrReadOnly    = database.ErrReadOnly
	ErrInUse       = phrase.Wrong("intake-in-use")
	ErrLocked      = database.ErrLocked
	ErrDamaged     = database.ErrDamaged
	ErrNoList      = phrase.Wrong("intake-no-list")
	ErrNoBook      = phrase.Wrong("intake-no-book")
	ErrUnknown     = phrase.Wrong("not-found")
	ErrSamePhoto   = phrase.Wrong("second-same")
	ErrManySeconds = phrase.Wrong("too-many-seconds")
	ErrUnfinished  = phrase.Wrong("intake-restoring")
	ErrNoSession   = phrase.Wrong("intake-no-session")
)

// DroppedError is why a tray cannot be measured anew: its photo was deleted.
type DroppedError struct{ At time.Time }

func (e *DroppedError) Error() string { return e.Unwrap().Error() }

// Unwrap is the same for every language.
func (e *DroppedError) Unwrap() error {
	return phrase.Wrong("photo-dropped", e.At.Local().Format(time.DateOnly))
}
