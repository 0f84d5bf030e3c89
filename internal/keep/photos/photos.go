// Package photos keeps a kitchen's photos by name: in a folder of this computer, or
// in a store that many servers share. It knows neither whose they are nor what is on
// them, and opens none to look.
package photos

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"io"
	"iter"
	"os"
	"regexp"
	"strconv"
	"time"

	"netagauge/internal/core/phrase"
)

// Store keeps photos, each whole under its name or not at all. Its methods may be
// called from several goroutines and, but for a folder's, from several computers.
type Store interface {
	// Put keeps an arrived photo under a name, in place of one that is there. When it
	// returns without an error the photo lasts, whatever stops, and the arrived file is
	// the store's: gone or of no more use. With an error the name is as it was, but when
	// ctx ended or the answer was lost: then it may have the photo, whole.
	Put(ctx context.Context, name string, a Arrived) error
	// Open gives a photo as a file of this computer, to be read and closed;
	// fs.ErrNotExist when there is none.
	Open(ctx context.Context, name string) (*os.File, error)
	// Delete removes a photo for good; one that is not there is no error.
	Delete(ctx context.Context, name string) error
	// Stat looks at a photo; fs.ErrNotExist when there is none.
	Stat(ctx context.Context, name string) (Info, error)
	// List goes through the names of photos in order, byte by byte: those after the one
	// given, or all for "".
	List(ctx context.Context, after string) iter.Seq2[string, error]
	// Aside puts what List showed where it shows it no more, and people find it.
	Aside(ctx context.Context, name string) error
}

// Arrived is a photo that is whole in a file of its own.
type Arrived struct {
	Path   string
	Bytes  int64
	SHA256 string // in hex
}

// Info is what is known of a photo without opening it.
type Info struct {
	Bytes int64
	Kept  time.Time // by the store's clock
}

// ErrOther is a file that is not the photo that arrived: of another length or content.
// Nothing was kept.
var ErrOther = phrase.Wrong("stored-other")

// ErrAway is a store that does not answer, or answers that it cannot just now. Tried
// again later, the same may go well.
var ErrAway = phrase.Wrong("stored-away")

// ErrName is a name that no photo has: all are of letters, digits, dots, dashes and
// underscores, at most 100, and begin with a letter or digit.
var ErrName = phrase.Wrong("stored-name")

var sound = regexp.MustCompile(`^[A-Za-z0-9][A-Za-z0-9._-]{0,99}$`)

// Named refuses what could mean another place.
func Named(name string) error {
	if !sound.MatchString(name) {
		return phrase.At(strconv.Quote(name), ErrName)
	}
	return nil
}

// Check reads what arrived and holds it to what it is said to be.
func (a Arrived) Check(r io.Reader) error {
	sum := sha256.New()
	n, err := io.Copy(sum, r)
	if err == nil && (n != a.Bytes || hex.EncodeToString(sum.Sum(nil)) != a.SHA256) {
		return ErrOther
	}
	return err
}
