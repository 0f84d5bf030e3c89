package backup

import (
	"context"
	"errors"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"

	"netagauge/internal/core/phrase"
	"netagauge/internal/keep/archive"
	"netagauge/internal/keep/database"
	"netagauge/internal/keep/intake"
	"netagauge/internal/keep/settings"
)

// Restore unpacks what Write wrote into dir, which must be empty or not there.
// It writes nowhere else, and everything is checked against the hashes and the
// list, and opened as a server will, before it takes its place; also are further
// checks of the unpacked folder. When it fails, dir is as it was.
func Restore(ctx context.Context, r io.Reader, dir string, also ...func(context.Context, string) error) error {
	if err := restore(ctx, r, dir, also); err != nil {
		return phrase.Because(database.Plain(err), "in-folder", dir)
	}
	return nil
}

func restore(ctx context.Context, r io.Reader, dir string, also []func(context.Context, string) error) (err error) {
	made, err := archive.EmptyOrNew(dir)
	if err != nil {
		return err
	}
	work := filepath.Join(dir, intake.UnfinishedDir)
	if err := os.Mkdir(work, 0o700); err != nil {
		return err
	}
	moving := false
	defer func() {
		if err == nil || moving { // half moved, the folder must not be opened
			return
		}
		os.RemoveAll(work)
		if made {
			os.Remove(dir)
		}
	}()
	if err := os.Mkdir(filepath.Join(work, intake.PhotosDir), 0o700); err != nil {
		return err
	}
	m, err := archive.Unpack(ctx, r, work, allowed)
	if err != nil {
		return err
	}
	if err := checkListed(ctx, work, m); err != nil {
		return err
	}
	for _, check := range append(also, opens) {
		if err := check(ctx, work); err != nil {
			return archive.NotWhole(err)
		}
	}
	moving = true
	return archive.MoveUp(work, dir, intake.PhotosDir)
}

// allowed are the names of files in a backup: those that Write packs. A write-ahead
// log in it would change what the hashes were taken of.
func allowed(name string) bool {
	return slices.Contains(databases, name) || slices.Contains(settings.Names(), name) || photoName.MatchString(name)
}

var photoName = regexp.MustCompile(`^photos/[a-z2-7]{26}\.(jpg|png|heic)$`)

// checkListed holds the files of a backup against its list of photos.
func checkListed(ctx context.Context, work string, m archive.Manifest) error {
	have := map[string]archive.Listed{}
	for _, f := range m.Files {
		have[f.Name] = f
		if strings.HasSuffix(f.Name, ".sqlite") {
			if err := database.SoundFile(ctx, filepath.Join(work, f.Name)); err != nil {
				return archive.ErrNone.Since(phrase.At(f.Name, err))
			}
		}
	}
	if _, there := have[intake.ListFile]; !there {
		return archive.ErrNone.Since(phrase.Wrong("backup-lacks", intake.ListFile))
	}
	photos, err := photosIn(ctx, filepath.Join(work, intake.ListFile))
	if err != nil {
		return archive.NotWhole(err)
	}
	for _, p := range photos {
		p.Name = intake.PhotosDir + "/" + p.Name
		if have[p.Name] != p && !slices.Contains(m.Absent, p.Name) {
			return archive.ErrNone.Since(phrase.Wrong("backup-lacks", p.Name))
		}
		delete(have, p.Name)
	}
	for name := range have {
		if strings.HasPrefix(name, intake.PhotosDir+"/") {
			return archive.ErrNone.Since(phrase.Wrong("backup-other", name))
		}
	}
	return nil
}

// opens opens an unpacked folder as a server will.
func opens(ctx context.Context, work string) error {
	f, err := intake.Open(ctx, work, "")
	if err != nil {
		return errors.Unwrap(err)
	}
	return f.Close()
}
