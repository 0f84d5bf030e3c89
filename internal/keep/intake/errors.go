package intake

import (
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
	ErrNoSession   = phrase.Wrong("intake-no-session")
)

var errRestoring = phrase.Wrong("intake-restoring")
