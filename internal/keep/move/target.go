package move

import (
	"context"
	"database/sql"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"netagauge/internal/core/atomicfile"
	"netagauge/internal/core/phrase"
	"netagauge/internal/keep/database"
	"netagauge/internal/keep/intake"
	"netagauge/internal/keep/photos"
	"netagauge/internal/keep/settings"
)

// Target is where a record is moved to. It knows of a move that was stopped.
type Target struct {
	*Side
	// end lets servers open the record; it can be done again.
	end func(context.Context) error
}

// ErrTaken is a target that holds something else.
var ErrTaken = phrase.Wrong("move-taken")

// ToShared opens a record that servers will share, for what is moved from the side named
// so. It must be empty, or hold what a move from there that was stopped has brought.
func ToShared(ctx context.Context, at database.Place, name string, store photos.Store, from string) (*Target, error) {
	s := &Side{name: name, tables: map[string]*sql.DB{}, shared: true, photos: store}
	t := &Target{Side: s}
	_, err := opened(s, t.toShared(ctx, at, from))
	return t, err
}

func (t *Target) toShared(ctx context.Context, at database.Place, from string) error {
	if err := made(ctx, at, at, at); err != nil {
		return err
	}
	texts, err := settings.OpenUnfinished(ctx, at)
	if err != nil {
		return err
	}
	t.texts, t.close, t.end = texts, append(t.close, texts.Close), texts.EndMoving
	for _, p := range parts {
		db, err := database.Raw(at)
		if err != nil {
			return err
		}
		t.add(p.name, db)
	}
	if t.arriving, err = os.MkdirTemp("", "netagauge-move-"); err != nil {
		return err
	}
	t.close = append(t.close, func() error { return os.RemoveAll(t.arriving) })
	switch was, err := texts.Moving(ctx); {
	case err != nil:
		return err
	case was == from:
		return nil
	case was != "":
		return ErrTaken.Since(phrase.Wrong("move-another", was))
	}
	if err := t.empty(ctx); err != nil {
		return err
	}
	return texts.BeginMoving(ctx, from)
}

// empty refuses a record that has anything in it.
func (t *Target) empty(ctx context.Context) error {
	for _, err := range t.photos.List(ctx, "") {
		if err == nil {
			err = ErrTaken.Since(phrase.Wrong("move-has-photos"))
		}
		return err
	}
	tables, err := texts(ctx, t.tables["intake"], `SELECT table_name FROM information_schema.tables
		WHERE table_schema = current_schema() AND table_type = 'BASE TABLE' AND table_name NOT LIKE '%\_version'`)
	if err != nil {
		return err
	}
	for _, name := range tables {
		var some bool
		if err := t.tables["intake"].QueryRowContext(ctx, `SELECT EXISTS (SELECT 1 FROM "`+name+`")`).Scan(&some); err != nil {
			return err
		}
		if some {
			return ErrTaken.Since(phrase.Wrong("move-has-rows", name))
		}
	}
	return nil
}

// ToFolder opens a data folder for what is moved from the side named so. It must be
// empty or not there, or hold what a move from there that was stopped has brought.
func ToFolder(ctx context.Context, dir, from string) (*Target, error) {
	s := &Side{name: dir, tables: map[string]*sql.DB{}}
	t := &Target{Side: s}
	_, err := opened(s, t.toFolder(ctx, dir, from))
	return t, err
}

// movingFile is in an unfinished folder: which record is moved into it, and a second line
// once all of it is there.
const movingFile = "moving.txt"

const allThere = "\nall there\n"

func (t *Target) toFolder(ctx context.Context, dir, from string) error {
	work := filepath.Join(dir, intake.UnfinishedDir)
	if err := atomicfile.Sweep(work); err != nil && !errors.Is(err, fs.ErrNotExist) { // of a move that was killed
		return err
	}
	was, err := os.ReadFile(filepath.Join(work, movingFile))
	switch {
	case errors.Is(err, fs.ErrNotExist):
		if err := begun(dir, work, from); err != nil {
			return err
		}
	case err != nil:
		return err
	case strings.TrimSuffix(string(was), allThere) != from:
		return ErrTaken.Since(phrase.Wrong("move-another", strings.TrimSuffix(string(was), allThere)))
	}
	t.end = func(context.Context) error { return settled(dir, work, from) }
	if strings.HasSuffix(string(was), allThere) {
		t.tables = nil // all that is left to do is the end
		return nil
	}
	t.arriving = filepath.Join(work, intake.TmpDir)
	if err := os.RemoveAll(t.arriving); err != nil {
		return err
	}
	if err := os.MkdirAll(t.arriving, 0o700); err != nil {
		return err
	}
	if t.photos, err = photos.InFolder(filepath.Join(work, intake.PhotosDir), ""); err != nil {
		return err
	}
	t.texts = settings.InFolder(work)
	var at []database.Place
	for _, p := range parts {
		at = append(at, database.File(filepath.Join(work, p.file)))
	}
	if err := made(ctx, at[0], at[1], at[2]); err != nil {
		return err
	}
	for i, p := range parts {
		db, err := database.Raw(at[i])
		if err != nil {
			return err
		}
		db.SetMaxOpenConns(1)
		t.add(p.name, db)
	}
	return nil
}

// begun makes the folder, which must have nothing in it, unfinished.
func begun(dir, work, from string) error {
	files, err := os.ReadDir(dir)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	if len(files) > 0 && (len(files) > 1 || files[0].Name() != intake.UnfinishedDir) {
		return ErrTaken.Since(phrase.Wrong("restore-not-empty"))
	}
	if left, err := os.ReadDir(work); err == nil && len(left) > 0 { // of a restore
		return ErrTaken.Since(phrase.Wrong("restore-not-empty"))
	}
	if err := os.MkdirAll(work, 0o700); err != nil {
		return err
	}
	return atomicfile.WritePrivate(filepath.Join(work, movingFile), []byte(from))
}

// settled puts everything in its place, after it was said that all is there. Stopped at
// any moment, it goes on.
func settled(dir, work, from string) error {
	marker := filepath.Join(work, movingFile)
	if err := atomicfile.WritePrivate(marker, []byte(from+allThere)); err != nil {
		return err
	}
	if err := atomicfile.Sync(work); err != nil {
		return err
	}
	files, err := os.ReadDir(work)
	if err != nil {
		return err
	}
	for _, e := range files {
		if e.Name() == movingFile {
			continue
		}
		if _, err := os.Lstat(filepath.Join(dir, e.Name())); err == nil { // put there meanwhile: never written over
			return ErrTaken.Since(phrase.Wrong("restore-not-empty"))
		}
		if err := os.Rename(filepath.Join(work, e.Name()), filepath.Join(dir, e.Name())); err != nil {
			return err
		}
	}
	if err := errors.Join(atomicfile.Sync(filepath.Join(dir, intake.PhotosDir)), atomicfile.Sync(dir)); err != nil {
		return err
	}
	ended := filepath.Join(dir, intake.TmpDir, "moved") // at once: a folder with half of work in it is not opened
	if err := os.Rename(work, ended); err != nil {
		return err
	}
	return errors.Join(atomicfile.Sync(dir), os.RemoveAll(ended))
}
