package intake

import (
	"context"

	"netagauge/internal/keep/database"
)

// Names in a data folder.
const (
	ListFile     = "intake.sqlite"
	BookFile     = "book.sqlite"
	AccountsFile = "accounts.sqlite"
	PhotosDir    = "photos"
	TmpDir       = "tmp"
	LockFile     = "lock"
	unclaimedDir = "unclaimed"

	// UnfinishedDir is in a folder while it is filled from elsewhere; until it is gone
	// nobody opens the folder.
	UnfinishedDir = "restoring"
)

// MakeTables makes the list's tables at a place, or brings them up to date.
func MakeTables(ctx context.Context, at database.Place) error {
	db, err := database.Open(ctx, at, list)
	if err != nil {
		return err
	}
	return db.Close()
}
