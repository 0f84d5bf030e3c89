package intake

import (
	"context"

	"netagauge/internal/keep/database"
)

// Names in a data folder, for what moves one elsewhere.
const (
	ListFile  = listFile
	PhotosDir = photosDir
	LockFile  = lockFile
	TmpDir    = tmpDir

	// UnfinishedDir is in a folder while it is filled from elsewhere; until it is gone
	// nobody opens the folder.
	UnfinishedDir = restoringDir
)

// MakeTables makes the list's tables at a place, or brings them up to date.
func MakeTables(ctx context.Context, at database.Place) error {
	db, err := database.Open(ctx, at, list)
	if err != nil {
		return err
	}
	return db.Close()
}
