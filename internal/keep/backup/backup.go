// Package backup packs a kitchen's data folder into one file and unpacks it again, or
// those of an organisation's sites. It knows the names in a folder and which photos its
// list speaks of, and of an organisation which sites there are.
package backup

import (
	"context"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"netagauge/internal/core/phrase"
	"netagauge/internal/keep/archive"
	"netagauge/internal/keep/database"
	"netagauge/internal/keep/intake"
	"netagauge/internal/keep/organisation"
	"netagauge/internal/keep/settings"
)

// databases of a folder, in the order in which they are copied: a kitchen's or an
// organisation's.
var databases = []string{intake.ListFile, intake.BookFile, intake.AccountsFile, organisation.File}

// Write writes a copy of the data folder dir to w while the folder may be in
// use. The list is copied first, so that whatever the copied list speaks of is in the
// copy, but for photos that are deleted meanwhile. A backup that was not written to its
// end restores nothing.
func Write(ctx context.Context, dir string, w io.Writer) error {
	p := archive.Pack(w)
	if err := pack(ctx, p, "", dir, intake.ListFile); err != nil {
		return err
	}
	return p.Close()
}

// Several is a backup of an organisation in the making: its own files as of a folder, and
// each site's in a folder of its name.
type Several struct{ p *archive.Packer }

const sitesDir = "sites"

// PackSeveral begins one.
func PackSeveral(w io.Writer) Several { return Several{archive.Pack(w)} }

// Organisation packs what the sites share from the folder dir.
func (s Several) Organisation(ctx context.Context, dir string) error {
	return pack(ctx, s.p, "", dir, organisation.File)
}

// Site packs a site's record from the data folder dir.
func (s Several) Site(ctx context.Context, name, dir string) error {
	return pack(ctx, s.p, sitesDir+"/"+name+"/", dir, intake.ListFile)
}

// Close ends it.
func (s Several) Close() error { return s.p.Close() }

// pack packs a folder under names that begin so.
func pack(ctx context.Context, p *archive.Packer, under, dir, main string) error {
	if err := packFolder(ctx, p, under, dir, main); err != nil {
		return phrase.Because(database.Plain(err), "in-folder", dir)
	}
	return nil
}

func packFolder(ctx context.Context, p *archive.Packer, under, dir, main string) error {
	if _, err := os.Stat(filepath.Join(dir, main)); err != nil {
		return phrase.Wrong("folder-none")
	}
	if err := os.MkdirAll(filepath.Join(dir, intake.TmpDir), 0o700); err != nil {
		return err
	}
	work, err := os.MkdirTemp(filepath.Join(dir, intake.TmpDir), "backup-*")
	if err != nil {
		return err
	}
	defer os.RemoveAll(work)
	if err := copyDatabases(ctx, dir, work); err != nil {
		return err
	}
	photos, err := photosIn(ctx, filepath.Join(work, intake.ListFile))
	if err != nil {
		return err
	}
	for _, name := range databases {
		if err := p.File(under+name, filepath.Join(work, name)); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return err
		}
	}
	for _, name := range settings.Names() {
		if err := p.Small(under+name, filepath.Join(dir, name)); err != nil {
			return err
		}
	}
	for _, photo := range photos {
		if err := ctx.Err(); err != nil {
			return err
		}
		name := intake.PhotosDir + "/" + photo.Name
		err := p.File(under+name, filepath.Join(dir, filepath.FromSlash(name)))
		if errors.Is(err, fs.ErrNotExist) {
			p.Absent = append(p.Absent, under+name)
		} else if err != nil {
			return err
		}
	}
	return nil
}

// copyDatabases copies the list first, and all again where somebody was forgotten in
// between: a list that speaks of results which the book lacks would be of no use.
func copyDatabases(ctx context.Context, dir, work string) error {
	for range 5 {
		for _, name := range databases {
			os.Remove(filepath.Join(work, name))
			if err := database.CopyFile(ctx, filepath.Join(dir, name), filepath.Join(work, name)); err != nil {
				return phrase.At(name, err)
			}
		}
		if whole, err := agree(ctx, work); err != nil || whole {
			return err
		}
	}
	return phrase.Wrong("busy")
}

// agree reports whether the book of a copy has every result that its list speaks of.
func agree(ctx context.Context, work string) (bool, error) {
	if _, err := os.Stat(filepath.Join(work, intake.BookFile)); err != nil {
		return true, nil
	}
	db, err := database.ConnectFile(filepath.Join(work, intake.ListFile), "mode=ro")
	if err != nil {
		return false, err
	}
	defer db.Close()
	db.SetMaxOpenConns(1)
	if _, err := db.ExecContext(ctx, `ATTACH $1 AS kept`, filepath.Join(work, intake.BookFile)); err != nil {
		return false, err
	}
	var lacking int
	err = db.QueryRowContext(ctx, `SELECT count(*) FROM shot WHERE result <> 0 AND result NOT IN (SELECT id FROM kept.result)`).Scan(&lacking)
	return lacking == 0, err
}

// photosIn are the photos that a copy of the list speaks of, with their hashes; an
// organisation has no list.
func photosIn(ctx context.Context, list string) ([]archive.Listed, error) {
	if _, err := os.Stat(list); errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	db, err := database.ConnectFile(list, "mode=ro&immutable=1")
	if err != nil {
		return nil, err
	}
	defer db.Close()
	query := `SELECT id || '.' || format, bytes, hash FROM shot`
	var pairs, dropped int // older lists have no second photos, or delete none
	if err := db.QueryRowContext(ctx, `SELECT (SELECT count(*) FROM sqlite_master WHERE type = 'table' AND name = 'second'),
		(SELECT count(*) FROM pragma_table_info('shot') WHERE name = 'dropped')`).Scan(&pairs, &dropped); err != nil {
		return nil, err
	}
	there := ""
	if dropped > 0 {
		there = ` WHERE dropped = ''`
	}
	query += there
	if pairs > 0 {
		query += ` UNION ALL SELECT id || '.' || format, bytes, hash FROM second` + there
	}
	return database.Each(func(scan database.Row) (l archive.Listed, err error) {
		return l, scan(&l.Name, &l.Bytes, &l.SHA256)
	})(db.QueryContext(ctx, query))
}
