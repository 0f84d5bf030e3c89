package intake

import (
	"context"
	"errors"
	"io"
)

// restoringDir is there while a restore is under way.
const restoringDir = "restoring"

// Backup writes a copy of the data folder dir, as of one moment, to w: one
// tar.gz with every database, photo and setting in it. The folder may be in use.
func Backup(ctx context.Context, dir string, w io.Writer) error { return errors.ErrUnsupported }

// Restore unpacks what Backup wrote into dir, which must be empty or not there.
// It writes nowhere else, and everything is checked before it takes its place.
func Restore(ctx context.Context, r io.Reader, dir string) error { return errors.ErrUnsupported }
