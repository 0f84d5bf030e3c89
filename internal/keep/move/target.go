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
	from    string          // what is moved into it
	unready *settings.Table // of a shared place, which say that
	// end lets servers open the record; it can be done again.
	end func(context.Context) error
}

// ErrTaken is a target that holds something else.
var ErrTaken = phrase.Wrong("move-taken")

// ToShared opens a record that servers will share, for what is moved from the side named
// so. It must be empty, or hold what a move from there that was stopped has brought.
func (r Record) ToShared(ctx context.Context, at database.Place, name string, store photos.Store, from string) (*Target, error) {
	s := &Side{Record: r, name: name, tables: map[string]*sql.DB{}, shared: true, photos: store}
	t := &Target{Side: s, from: from}
	_, err := opened(s, t.toShared(ctx, at))
	return t, err
}

func (t *Target) toShared(ctx context.Context, at database.Place) error {
	for _, p := range t.parts {
		if err := p.make(ctx, at); err != nil {
			return err
		}
	}
	texts, err := settings.OpenUnfinished(ctx, at)
	if err != nil {
		return err
	}
	t.texts, t.unready, t.close, t.end = texts, texts, append(t.close, texts.Close), texts.EndMoving
	for _, p := range t.parts {
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
	case was == t.from:
		return nil
	case was == t.from+allThere:
		t.tables = nil // all that is left to do is the end
		return nil
	case was != "":
		return ErrTaken.Since(phrase.Wrong("move-another", was))
	}
	if err := t.empty(ctx); err != nil {
		return err
	}
	return texts.BeginMoving(ctx, t.from)
}

// Hold keeps servers out also when all is there.
func (t *Target) Hold() { t.end = func(context.Context) error { return nil } }

// With lets servers open other places of the server together with this one: those into
// which something is moved, and held, before this is ready.
func (t *Target) With(others []database.Place) {
	end := t.end
	t.end = func(ctx context.Context) error {
		if err := t.unready.BeginMoving(ctx, t.from+allThere); err != nil {
			return err
		}
		for _, at := range others {
			texts, err := settings.OpenUnfinished(ctx, at)
			if err != nil {
				return err
			}
			if err := errors.Join(texts.EndMoving(ctx), texts.Close()); err != nil {
				return err
			}
		}
		return end(ctx)
	}
}

// empty refuses a record that has anything in it.
func (t *Target) empty(ctx context.Context) error {
	if t.hasPhotos {
		for _, err := range t.photos.List(ctx, "") {
			if err == nil {
				err = ErrTaken.Since(phrase.Wrong("move-has-photos"))
			}
			return err
		}
	}
	tables, err := texts(ctx, t.main(), `SELECT table_name FROM information_schema.tables
		WHERE table_schema = current_schema() AND table_type = 'BASE TABLE' AND table_name NOT LIKE '%\_version'`)
	if err != nil {
		return err
	}
	for _, name := range tables {
		var some bool
		if err := t.main().QueryRowContext(ctx, `SELECT EXISTS (SELECT 1 FROM "`+name+`")`).Scan(&some); err != nil {
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
func (r Record) ToFolder(ctx context.Context, dir, from string) (*Target, error) {
	s := &Side{Record: r, name: dir, tables: map[string]*sql.DB{}}
	t := &Target{Side: s, from: from}
	_, err := opened(s, t.toFolder(ctx, dir))
	return t, err
}

// movingFile is in an unfinished folder: which record is moved into it, and a second line
// once all of it is there.
const movingFile = "moving.txt"

const allThere = "\nall there\n"

func (t *Target) toFolder(ctx context.Context, dir string) error {
	work := filepath.Join(dir, intake.UnfinishedDir)
	if err := atomicfile.Sweep(work); err != nil && !errors.Is(err, fs.ErrNotExist) { // of a move that was killed
		return err
	}
	was, err := os.ReadFile(filepath.Join(work, movingFile))
	switch {
	case errors.Is(err, fs.ErrNotExist):
		if err := begun(dir, work, t.from); err != nil {
			return err
		}
	case err != nil:
		return err
	case strings.TrimSuffix(string(was), allThere) != t.from:
		return ErrTaken.Since(phrase.Wrong("move-another", strings.TrimSuffix(string(was), allThere)))
	}
	t.end = func(context.Context) error { return t.settled(dir, work) }
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
	if t.hasPhotos {
		if t.photos, err = photos.InFolder(filepath.Join(work, intake.PhotosDir), ""); err != nil {
			return err
		}
	}
	t.texts = settings.InFolder(work)
	for _, p := range t.parts {
		at := database.File(filepath.Join(work, p.file))
		if err := p.make(ctx, at); err != nil {
			return err
		}
		db, err := database.Raw(at)
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
func (t *Target) settled(dir, work string) error {
	marker := filepath.Join(work, movingFile)
	if err := atomicfile.WritePrivate(marker, []byte(t.from+allThere)); err != nil {
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
	if t.hasPhotos {
		if err := atomicfile.Sync(filepath.Join(dir, intake.PhotosDir)); err != nil {
			return err
		}
	}
	if err := atomicfile.Sync(dir); err != nil {
		return err
	}
	ended := filepath.Join(dir, intake.TmpDir, "moved") // at once: a folder with half of work in it is not opened
	if err := os.Rename(work, ended); err != nil {
		return err
	}
	return errors.Join(atomicfile.Sync(dir), os.RemoveAll(ended))
}
