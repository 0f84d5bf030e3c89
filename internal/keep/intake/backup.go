package intake

import (
	"archive/tar"
	"bytes"
	"compress/gzip"
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"encoding/json"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"netagauge/internal/core/phrase"
	"netagauge/internal/keep/database"
	"netagauge/internal/keep/settings"
)

// A backup is a tar.gz of plain files: the databases, the settings, and photos/.
// The last file lists the others with their hashes.
const (
	manifestFile = "manifest.json"
	backupFormat = 1
	maxSetting   = 64 << 20
)

// manifest is the last file of a backup.
type manifest struct {
	Format int
	Made   time.Time
	Files  []listed
	Absent []string // photos of the list that were not in the folder any more
}

type listed struct {
	Name   string
	Bytes  int64
	SHA256 string
}

// Backup writes a copy of the data folder dir to w while the folder may be in
// use. The list is copied first, so that whatever the copied list speaks of is in the
// copy, but for photos that are deleted meanwhile. A backup that was not written to its
// end restores nothing.
func Backup(ctx context.Context, dir string, w io.Writer) error {
	if err := backup(ctx, dir, w); err != nil {
		return phrase.Because(database.Plain(err), "in-folder", dir)
	}
	return nil
}

func backup(ctx context.Context, dir string, w io.Writer) error {
	if _, err := os.Stat(filepath.Join(dir, listFile)); err != nil {
		return phrase.Wrong("folder-none")
	}
	if err := os.MkdirAll(filepath.Join(dir, tmpDir), 0o700); err != nil {
		return err
	}
	work, err := os.MkdirTemp(filepath.Join(dir, tmpDir), "backup-*")
	if err != nil {
		return err
	}
	defer os.RemoveAll(work)
	zip, _ := gzip.NewWriterLevel(w, gzip.BestSpeed) // photos do not get smaller
	p := &packer{tar: tar.NewWriter(zip), manifest: manifest{Format: backupFormat, Made: time.Now().UTC()}}
	if err := p.folder(ctx, dir, work); err != nil {
		return err
	}
	text, err := json.MarshalIndent(p.manifest, "", " ")
	if err != nil {
		return err
	}
	if err := p.add(manifestFile, bytes.NewReader(text), int64(len(text))); err != nil {
		return err
	}
	return errors.Join(p.tar.Close(), zip.Close())
}

type packer struct {
	tar *tar.Writer
	manifest
}

func (p *packer) folder(ctx context.Context, dir, work string) error {
	if err := copyDatabases(ctx, dir, work); err != nil {
		return err
	}
	photos, err := photosIn(ctx, filepath.Join(work, listFile))
	if err != nil {
		return err
	}
	for _, name := range databases {
		if err := p.file(name, filepath.Join(work, name)); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return err
		}
	}
	for _, name := range settings.Names() {
		if err := p.setting(name, filepath.Join(dir, name)); err != nil {
			return err
		}
	}
	for _, photo := range photos {
		if err := ctx.Err(); err != nil {
			return err
		}
		name := photosDir + "/" + photo.Name
		err := p.file(name, filepath.Join(dir, filepath.FromSlash(name)))
		if errors.Is(err, fs.ErrNotExist) {
			p.Absent = append(p.Absent, name)
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
			if err := copyDatabase(ctx, filepath.Join(dir, name), filepath.Join(work, name)); err != nil {
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
	if _, err := os.Stat(filepath.Join(work, BookFile)); err != nil {
		return true, nil
	}
	db, err := database.ConnectFile(filepath.Join(work, listFile), "mode=ro")
	if err != nil {
		return false, err
	}
	defer db.Close()
	db.SetMaxOpenConns(1)
	if _, err := db.ExecContext(ctx, `ATTACH $1 AS kept`, filepath.Join(work, BookFile)); err != nil {
		return false, err
	}
	var lacking int
	err = db.QueryRowContext(ctx, `SELECT count(*) FROM shot WHERE result <> 0 AND result NOT IN (SELECT id FROM kept.result)`).Scan(&lacking)
	return lacking == 0, err
}

// copyDatabase writes a copy as of one moment; others go on writing meanwhile. What
// is not there is not copied.
func copyDatabase(ctx context.Context, from, to string) error {
	if _, err := os.Stat(from); errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err := os.WriteFile(to, nil, 0o600); err != nil { // SQLite would let others read it
		return err
	}
	db, err := database.ConnectFile(from, "mode=rw&_busy_timeout=15000")
	if err != nil {
		return err
	}
	defer db.Close()
	_, err = db.ExecContext(ctx, `VACUUM INTO ?`, to)
	return err
}

// photosIn are the photos that a copy of the list speaks of, with their hashes.
func photosIn(ctx context.Context, list string) ([]listed, error) {
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
	rows, err := db.QueryContext(ctx, query)
	if err != nil {
		return nil, err
	}
	return scanListed(rows)
}

func scanListed(rows *sql.Rows) ([]listed, error) {
	defer rows.Close()
	var out []listed
	for rows.Next() {
		var l listed
		if err := rows.Scan(&l.Name, &l.Bytes, &l.SHA256); err != nil {
			return nil, err
		}
		out = append(out, l)
	}
	return out, rows.Err()
}

func (p *packer) file(name, path string) error {
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil {
		return err
	}
	return p.add(name, f, info.Size())
}

// setting packs a small file that may be replaced meanwhile.
func (p *packer) setting(name, path string) error {
	f, err := os.Open(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return err
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, maxSetting+1))
	switch {
	case err != nil:
		return err
	case len(data) > maxSetting:
		return phrase.Wrong("backup-large", name, maxSetting>>20)
	}
	return p.add(name, bytes.NewReader(data), int64(len(data)))
}

func (p *packer) add(name string, r io.Reader, size int64) error {
	if err := p.tar.WriteHeader(&tar.Header{Name: name, Size: size, Mode: 0o600, ModTime: p.Made, Format: tar.FormatPAX}); err != nil {
		return err
	}
	sum := sha256.New()
	if _, err := io.CopyN(io.MultiWriter(p.tar, sum), r, size); err != nil {
		return phrase.At(name, err)
	}
	p.Files = append(p.Files, listed{name, size, hex.EncodeToString(sum.Sum(nil))})
	return nil
}
