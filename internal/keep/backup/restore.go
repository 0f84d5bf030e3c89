package backup

import (
	"context"
	"errors"
	"io"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"

	"netagauge/internal/core/phrase"
	"netagauge/internal/keep/archive"
	"netagauge/internal/keep/database"
	"netagauge/internal/keep/intake"
	"netagauge/internal/keep/organisation"
	"netagauge/internal/keep/settings"
)

// Check looks at an unpacked folder.
type Check = func(ctx context.Context, dir string) error

// Restore unpacks what Write wrote into dir, which must be empty or not there.
// It writes nowhere else, and everything is checked against the hashes and the
// list, and opened as a server will, before it takes its place; also are further
// checks of the unpacked folder. When it fails, dir is as it was.
func Restore(ctx context.Context, r io.Reader, dir string, also ...Check) error {
	_, err := restore(ctx, r, dir, false, also)
	return err
}

// RestoreAny is Restore also of several sites: those are told, and their data folders lie
// in At, beside what they share in dir. Of a kitchen alone none are told.
func RestoreAny(ctx context.Context, r io.Reader, dir string, also ...Check) (sites []string, err error) {
	return restore(ctx, r, dir, true, also)
}

// At is the data folder of a restored site.
func At(dir, site string) string { return filepath.Join(dir, sitesDir, site) }

func restore(ctx context.Context, r io.Reader, dir string, several bool, also []Check) (sites []string, err error) {
	sites, err = restoreInto(ctx, r, dir, several, also)
	if err != nil {
		return nil, phrase.Because(database.Plain(err), "in-folder", dir)
	}
	return sites, nil
}

func restoreInto(ctx context.Context, r io.Reader, dir string, several bool, also []Check) (sites []string, err error) {
	made, err := archive.EmptyOrNew(dir)
	if err != nil {
		return nil, err
	}
	work := filepath.Join(dir, intake.UnfinishedDir)
	if err := os.Mkdir(work, 0o700); err != nil {
		return nil, err
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
	m, err := archive.Unpack(ctx, r, work, allowed)
	if err != nil {
		return nil, err
	}
	if slices.ContainsFunc(m.Files, func(f archive.Listed) bool { return f.Name == organisation.File }) {
		if !several {
			return nil, phrase.Wrong("backup-several")
		}
		sites, err = checkSeveral(ctx, work, m, also)
	} else {
		err = checkFolder(ctx, work, m, kitchens, append(also, opens))
	}
	if err != nil {
		return nil, err
	}
	folders := []string{}
	if len(sites) == 0 {
		folders = append(folders, intake.PhotosDir)
	}
	for _, s := range sites {
		folders = append(folders, filepath.Join(sitesDir, s, intake.PhotosDir), filepath.Join(sitesDir, s), sitesDir)
	}
	moving = true
	return sites, archive.MoveUp(work, dir, folders...)
}

// folder is a kind of folder in a backup: which file it must have, and which it may.
type folder struct {
	main string
	may  func(name string) bool
}

var (
	kitchens  = folder{intake.ListFile, func(name string) bool { return name == intake.BookFile || photoName.MatchString(name) }}
	organised = folder{organisation.File, func(string) bool { return false }}
)

// has reports whether a name is that of a file that Write packs. A write-ahead log in it
// would change what the hashes were taken of.
func (f folder) has(name string) bool {
	return name == f.main || name == intake.AccountsFile || slices.Contains(settings.Names(), name) || f.may(name)
}

var (
	photoName = regexp.MustCompile(`^photos/[a-z2-7]{26}\.(jpg|png|heic)$`)
	siteName  = regexp.MustCompile(`^` + sitesDir + `/([a-z][a-z0-9]{0,30})/(.+)$`)
)

// allowed are the names of files in a backup.
func allowed(name string) bool {
	if of := siteName.FindStringSubmatch(name); of != nil {
		return kitchens.has(of[2])
	}
	return kitchens.has(name) || organised.has(name)
}

// checkSeveral checks what sites share, and each one's folder.
func checkSeveral(ctx context.Context, work string, m archive.Manifest, also []Check) (sites []string, err error) {
	own, each := archive.Manifest{}, map[string]*archive.Manifest{}
	of := func(name string) (*archive.Manifest, string) {
		found := siteName.FindStringSubmatch(name)
		if found == nil {
			return &own, name
		}
		if each[found[1]] == nil {
			each[found[1]] = &archive.Manifest{}
		}
		return each[found[1]], found[2]
	}
	for _, f := range m.Files {
		to, name := of(f.Name)
		to.Files = append(to.Files, archive.Listed{Name: name, Bytes: f.Bytes, SHA256: f.SHA256})
	}
	for _, name := range m.Absent {
		to, name := of(name)
		to.Absent = append(to.Absent, name)
	}
	var known []organisation.Site
	opened := func(ctx context.Context, dir string) (err error) {
		known, err = Sites(ctx, dir)
		return err
	}
	if err := checkFolder(ctx, work, own, organised, append(also, opened)); err != nil {
		return nil, err
	}
	for _, name := range slices.Sorted(maps.Keys(each)) {
		if !slices.ContainsFunc(known, func(s organisation.Site) bool { return s.Name == name }) {
			return nil, archive.ErrNone.Since(phrase.Wrong("backup-other", sitesDir+"/"+name))
		}
		if err := checkFolder(ctx, At(work, name), *each[name], kitchens, append(also, opens)); err != nil {
			return nil, phrase.At(name, err)
		}
		sites = append(sites, name)
	}
	return sites, nil
}

// Sites are those that a folder of what they share knows.
func Sites(ctx context.Context, dir string) ([]organisation.Site, error) {
	o, err := organisation.Open(ctx, database.File(filepath.Join(dir, organisation.File)))
	if err != nil {
		return nil, err
	}
	all, err := o.Sites(ctx)
	return all, errors.Join(err, o.Close())
}

// checkFolder holds an unpacked folder against its part of the manifest, and opens it.
func checkFolder(ctx context.Context, work string, m archive.Manifest, is folder, also []Check) error {
	if is.main == intake.ListFile {
		if err := os.MkdirAll(filepath.Join(work, intake.PhotosDir), 0o700); err != nil { // there may be none
			return err
		}
	}
	if err := checkListed(ctx, work, m, is); err != nil {
		return err
	}
	for _, check := range also {
		if err := check(ctx, work); err != nil {
			return archive.NotWhole(err)
		}
	}
	return nil
}

// checkListed holds the files of a backup against its list of photos.
func checkListed(ctx context.Context, work string, m archive.Manifest, is folder) error {
	have := map[string]archive.Listed{}
	for _, f := range m.Files {
		if !is.has(f.Name) {
			return archive.ErrNone.Since(phrase.Wrong("backup-other", f.Name))
		}
		have[f.Name] = f
		if strings.HasSuffix(f.Name, ".sqlite") {
			if err := database.SoundFile(ctx, filepath.Join(work, f.Name)); err != nil {
				return archive.ErrNone.Since(phrase.At(f.Name, err))
			}
		}
	}
	if _, there := have[is.main]; !there {
		return archive.ErrNone.Since(phrase.Wrong("backup-lacks", is.main))
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
