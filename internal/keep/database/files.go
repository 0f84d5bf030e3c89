package database

import (
	"context"
	"errors"
	"io/fs"
	"netagauge/internal/core/phrase"
	"os"
)

// CopyFile writes a copy as of one moment; others go on writing meanwhile. What
// is not there is not copied.
func CopyFile(ctx context.Context, from, to string) error {
	if _, err := os.Stat(from); errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err := os.WriteFile(to, nil, 0o600); err != nil { // SQLite would let others read it
		return err
	}
	db, err := ConnectFile(from, "mode=rw&_busy_timeout=15000")
	if err != nil {
		return err
	}
	defer db.Close()
	_, err = db.ExecContext(ctx, `VACUUM INTO ?`, to)
	return err
}

// SoundFile says what is wrong with a file: damage, or triggers, of which ours have none.
func SoundFile(ctx context.Context, path string) error {
	db, err := ConnectFile(path, "mode=ro&immutable=1")
	if err != nil {
		return err
	}
	defer db.Close()
	var said string
	if err := db.QueryRowContext(ctx, `PRAGMA integrity_check`).Scan(&said); err != nil {
		return err
	}
	if said != "ok" {
		return errors.New(said)
	}
	var triggers int
	if err := db.QueryRowContext(ctx, `SELECT count(*) FROM sqlite_master WHERE type = 'trigger'`).Scan(&triggers); err != nil {
		return err
	}
	if triggers > 0 {
		return phrase.Wrong("backup-trigger")
	}
	return nil
}
