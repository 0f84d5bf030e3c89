package intake

import (
	"archive/tar"
	"compress/gzip"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"

	"netagauge/internal/core/phrase"
	"netagauge/internal/keep/database"
	"netagauge/internal/keep/settings"
)

// restoringDir is in the folder while a restore is under way. A folder with it
// is not opened.
const restoringDir = "restoring"

// ErrNotABackup says that a file is no whole backup.
var ErrNotABackup = phrase.Wrong("backup-none")

// Restore unpacks what Backup wrote into dir, which must be empty or not there.
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
	made, err := emptyOrNew(dir)
	if err != nil {
		return err
	}
	work := filepath.Join(dir, restoringDir)
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
	if err := unpack(ctx, r, work); err != nil {
		return err
	}
	for _, check := range append(also, opens) {
		if err := check(ctx, work); err != nil {
			return notWhole(err)
		}
	}
	moving = true
	return moveUp(work, dir)
}

// emptyOrNew makes sure that nothing is overwritten.
func emptyOrNew(dir string) (made bool, err error) {
	files, err := os.ReadDir(dir)
	switch {
	case errors.Is(err, os.ErrNotExist):
		return true, os.Mkdir(dir, 0o700)
	case err == nil && len(files) > 0:
		return false, phrase.Wrong("restore-not-empty")
	}
	return false, err
}

// unpack fills the folder work and checks all of it.
func unpack(ctx context.Context, r io.Reader, work string) error {
	root, err := os.OpenRoot(work) // through which nothing outside can be reached
	if err != nil {
		return err
	}
	defer root.Close()
	if err := root.Mkdir(photosDir, 0o700); err != nil {
		return err
	}
	packed := &counted{r: r}
	zip, err := gzip.NewReader(packed)
	if err != nil {
		return notWhole(err)
	}
	var files []listed
	for in := tar.NewReader(&bounded{r: zip, packed: packed}); ; {
		h, err := in.Next()
		if errors.Is(err, io.EOF) {
			break
		}
		if err == nil {
			err = ctx.Err()
		}
		if err != nil {
			return notWhole(err)
		}
		if h.Typeflag != tar.TypeReg || !allowed(h.Name) {
			return ErrNotABackup.Since(phrase.Wrong("backup-other", h.Name))
		}
		l, err := put(root, h.Name, in)
		if err != nil {
			return phrase.At(h.Name, notWhole(err))
		}
		files = append(files, l)
	}
	if _, err := io.Copy(io.Discard, io.LimitReader(zip, 1<<20)); err != nil { // its checksum is at the end
		return notWhole(err)
	}
	return check(ctx, work, files)
}

// allowed are the names of files in a backup: those that Backup packs. A write-ahead
// log in it would change what the hashes were taken of.
func allowed(name string) bool {
	return name == manifestFile || slices.Contains(databases, name) || slices.Contains(settings.Names(), name) || photoName.MatchString(name)
}

var photoName = regexp.MustCompile(`^photos/[a-z2-7]{26}\.(jpg|png|heic)$`)

// notWhole marks what reading a backup says; what writing says stays.
func notWhole(err error) error {
	var disk *os.PathError
	if errors.As(err, &disk) || errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded) {
		return err
	}
	return ErrNotABackup.Since(err)
}

// A backup may unpack to this much and so many times what was read of it: photos
// do not pack, and databases by a factor of ten or so. Our setting.
const (
	unpackedFree  = 64 << 20
	unpackedTimes = 50
)

// counted counts the bytes read.
type counted struct {
	r io.Reader
	n int64
}

func (c *counted) Read(p []byte) (int, error) {
	n, err := c.r.Read(p)
	c.n += int64(n)
	return n, err
}

// bounded ends a file that unpacks to far more than a backup does.
type bounded struct {
	r      io.Reader
	packed *counted
	n      int64
}

func (b *bounded) Read(p []byte) (int, error) {
	if b.n > unpackedFree+unpackedTimes*b.packed.n {
		return 0, phrase.Wrong("backup-unpacks", b.packed.n>>20, b.n>>20)
	}
	n, err := b.r.Read(p)
	b.n += int64(n)
	return n, err
}

// put writes one file, which must be new.
func put(root *os.Root, name string, r io.Reader) (l listed, err error) {
	f, err := root.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return l, err
	}
	defer f.Close()
	sum := sha256.New()
	n, err := io.Copy(io.MultiWriter(f, sum), r)
	if err != nil {
		return l, err
	}
	return listed{name, n, hex.EncodeToString(sum.Sum(nil))}, errors.Join(f.Sync(), f.Close())
}

// check holds the files against the manifest, which is the last one, and the
// photos against the list.
func check(ctx context.Context, work string, files []listed) error {
	if len(files) == 0 || files[len(files)-1].Name != manifestFile {
		return ErrNotABackup.Since(phrase.Wrong("backup-short"))
	}
	text, err := os.ReadFile(filepath.Join(work, manifestFile))
	if err != nil {
		return err
	}
	var m manifest
	switch err := json.Unmarshal(text, &m); {
	case err != nil:
		return notWhole(err)
	case m.Format != backupFormat:
		return ErrNotABackup.Since(phrase.Wrong("backup-newer"))
	case !slices.Equal(m.Files, files[:len(files)-1]):
		return ErrNotABackup.Since(phrase.Wrong("backup-changed"))
	}
	if err := checkListed(ctx, work, m); err != nil {
		return err
	}
	return os.Remove(filepath.Join(work, manifestFile))
}

// checkListed holds the files of a backup against its list of photos.
func checkListed(ctx context.Context, work string, m manifest) error {
	have := map[string]listed{}
	for _, f := range m.Files {
		have[f.Name] = f
		if strings.HasSuffix(f.Name, ".sqlite") {
			if err := soundDatabase(ctx, filepath.Join(work, f.Name)); err != nil {
				return ErrNotABackup.Since(phrase.At(f.Name, err))
			}
		}
	}
	if _, there := have[listFile]; !there {
		return ErrNotABackup.Since(phrase.Wrong("backup-lacks", listFile))
	}
	photos, err := photosIn(ctx, filepath.Join(work, listFile))
	if err != nil {
		return notWhole(err)
	}
	for _, p := range photos {
		p.Name = photosDir + "/" + p.Name
		if have[p.Name] != p && !slices.Contains(m.Absent, p.Name) {
			return ErrNotABackup.Since(phrase.Wrong("backup-lacks", p.Name))
		}
		delete(have, p.Name)
	}
	for name := range have {
		if strings.HasPrefix(name, photosDir+"/") {
			return ErrNotABackup.Since(phrase.Wrong("backup-other", name))
		}
	}
	return nil
}

// opens opens an unpacked folder as a server will.
func opens(ctx context.Context, work string) error {
	f, err := Open(ctx, work, "")
	if err != nil {
		return errors.Unwrap(err)
	}
	return f.Close()
}

func soundDatabase(ctx context.Context, path string) error {
	db, err := database.ConnectFile(path, "mode=ro&immutable=1")
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

// moveUp puts everything in its place; the folder can be opened when work is gone.
func moveUp(work, dir string) error {
	files, err := os.ReadDir(work)
	if err != nil {
		return err
	}
	for _, e := range files {
		if err := os.Rename(filepath.Join(work, e.Name()), filepath.Join(dir, e.Name())); err != nil {
			return err
		}
	}
	for _, d := range []string{filepath.Join(dir, photosDir), dir} {
		if err := syncDir(d); err != nil {
			return err
		}
	}
	if err := os.Remove(work); err != nil {
		return err
	}
	return syncDir(dir)
}
