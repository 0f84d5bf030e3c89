package intake

import (
	"context"
	"errors"
	"io/fs"
	"netagauge/internal/core/atomicfile"
	"netagauge/internal/keep/database"
	"path/filepath"
)

// recover puts right what a server left that was stopped at any moment. Shots
// that were being measured wait again. A photo without a row came so far and no
// further: its sender was never told "received" and will send it again, and
// whose it was is not known, so it cannot be measured; it is moved aside rather
// than deleted, for the day when somebody has put an older list into the folder.
func (f *Folder) recover(ctx context.Context) error {
	if err := atomicfile.Empty(filepath.Join(f.dir, TmpDir)); err != nil {
		return err
	}
	done, err := f.db.ExecContext(ctx, `UPDATE shot SET state = 'waiting' WHERE state = 'measuring'`)
	if err != nil {
		return err
	}
	n, err := done.RowsAffected()
	if err != nil {
		return err
	}
	f.found.Interrupted = int(n)
	if err := f.moveUnclaimed(ctx); err != nil {
		return err
	}
	return f.failMissing(ctx)
}

func (f *Folder) moveUnclaimed(ctx context.Context) error {
	known, err := f.claimed(ctx)
	if err != nil {
		return err
	}
	for name, err := range f.photos.List(ctx, "") {
		if err != nil {
			return err
		}
		if known[name] {
			continue
		}
		if err := f.photos.Aside(ctx, name); err != nil {
			return err
		}
		f.found.Unclaimed++
	}
	return nil
}

// claimed are the names of all photos in the list, first and second ones.
func (f *Folder) claimed(ctx context.Context) (map[string]bool, error) {
	names, err := database.All[string](f.db.QueryContext(ctx, `SELECT id || '.' || format FROM shot UNION ALL SELECT id || '.' || format FROM second`))
	known := map[string]bool{}
	for _, name := range names {
		known[name] = true
	}
	return known, err
}

// failMissing ends shots whose photo somebody took away.
func (f *Folder) failMissing(ctx context.Context) error {
	waiting, err := f.List(ctx, Filter{States: []State{Waiting}})
	if err != nil {
		return err
	}
	for _, s := range waiting {
		_, err := f.photos.Stat(ctx, s.file())
		if !errors.Is(err, fs.ErrNotExist) {
			continue
		}
		if err := f.Fail(ctx, s, CodeMissing, nil); err != nil {
			return err
		}
		f.found.Missing++
	}
	return nil
}
