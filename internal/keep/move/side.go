package move

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"syscall"

	"netagauge/internal/core/phrase"
	"netagauge/internal/keep/account"
	"netagauge/internal/keep/book"
	"netagauge/internal/keep/database"
	"netagauge/internal/keep/intake"
	"netagauge/internal/keep/organisation"
	"netagauge/internal/keep/photos"
	"netagauge/internal/keep/settings"
)

// Record is a kind of record.
type Record struct {
	parts     []part
	hasPhotos bool
}

// part is what tables of a record belong to, with their file in a folder.
type part struct {
	name, file string
	make       func(ctx context.Context, at database.Place) error // its tables
}

// Kitchen is the record of one, Organisation what several sites share.
var (
	Kitchen = Record{[]part{{"intake", intake.ListFile, intake.MakeTables}, {"book", intake.BookFile, making(book.OpenAt)},
		{"account", intake.AccountsFile, making(account.OpenAt)}}, true}
	Organisation = Record{[]part{{"organisation", organisation.File, making(organisation.Open)}, {"account", intake.AccountsFile, making(account.OpenAt)}}, false}
)

// making opens tables, which makes them.
func making[T io.Closer](open func(context.Context, database.Place) (T, error)) func(context.Context, database.Place) error {
	return func(ctx context.Context, at database.Place) error {
		x, err := open(ctx, at)
		if err != nil {
			return err
		}
		return x.Close()
	}
}

// ErrNone is a place that has no record.
var ErrNone = phrase.Wrong("folder-none")

// Side is a record that is moved from or to: a data folder, or a schema and a bucket.
type Side struct {
	Record
	name     string             // to people, and to know a move again that was stopped
	tables   map[string]*sql.DB // by part
	shared   bool               // in PostgreSQL
	moment   *sql.Tx            // as of which tables are read, or nil
	known    string             // by which other transactions can read as of it
	texts    settings.Texts
	photos   photos.Store
	arriving string // folder where photos arrive
	close    []func() error
}

// Name is where it lies.
func (s *Side) Name() string { return s.name }

// Close closes it.
func (s *Side) Close() error {
	var errs []error
	for i := len(s.close) - 1; i >= 0; i-- {
		errs = append(errs, s.close[i]())
	}
	return errors.Join(errs...)
}

// opened closes the side when opening it failed.
func opened(s *Side, err error) (*Side, error) {
	if err != nil {
		s.Close()
		return nil, phrase.At(s.name, database.Plain(err))
	}
	return s, nil
}

func (s *Side) add(part string, db *sql.DB) {
	s.tables[part] = db
	s.close = append(s.close, db.Close)
}

// FromFolder opens a data folder to be moved from. Nobody may have it open, and nothing
// in it is changed.
func (r Record) FromFolder(dir string) (*Side, error) {
	s := &Side{Record: r, name: dir, tables: map[string]*sql.DB{}, texts: settings.InFolder(dir)}
	return opened(s, s.fromFolder(dir))
}

func (s *Side) fromFolder(dir string) error {
	if _, err := os.Stat(filepath.Join(dir, s.parts[0].file)); err != nil {
		return ErrNone
	}
	if err := s.hold(dir); err != nil {
		return err
	}
	work, err := os.MkdirTemp("", "netagauge-move-")
	if err != nil {
		return err
	}
	s.close = append(s.close, func() error { return os.RemoveAll(work) })
	for _, p := range s.parts {
		db, err := asItIs(filepath.Join(dir, p.file), filepath.Join(work, p.file))
		if err != nil {
			return err
		}
		if db != nil {
			s.add(p.name, db)
		}
	}
	if s.hasPhotos {
		s.photos, err = photos.InFolder(filepath.Join(dir, intake.PhotosDir), "")
	}
	return err
}

// hold keeps servers out of the folder, as far as one has ever been in it.
func (s *Side) hold(dir string) error {
	lock, err := os.Open(filepath.Join(dir, intake.LockFile))
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return err
	}
	s.close = append(s.close, lock.Close)
	if err := syscall.Flock(int(lock.Fd()), syscall.LOCK_EX|syscall.LOCK_NB); err != nil {
		return intake.ErrInUse
	}
	return nil
}

// asItIs opens a SQLite file that nobody writes to, without a trace. One whose writer was
// killed still has its log, which only a copy may be brought up to date by. There is none
// where the file is not.
func asItIs(path, copied string) (*sql.DB, error) {
	if _, err := os.Stat(path); errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if log, err := os.Stat(path + "-wal"); err != nil || log.Size() == 0 {
		return database.ConnectFile(path, "mode=ro&immutable=1")
	}
	for _, end := range []string{"", "-wal"} {
		if err := copyFile(path+end, copied+end); err != nil {
			return nil, err
		}
	}
	return database.ConnectFile(copied, "mode=rw")
}

func copyFile(from, to string) error {
	in, err := os.Open(from)
	if err != nil {
		return err
	}
	defer in.Close()
	out, err := os.OpenFile(to, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return err
	}
	_, err = out.ReadFrom(in)
	return errors.Join(err, out.Close())
}

// main are the tables of the first part.
func (s *Side) main() *sql.DB { return s.tables[s.parts[0].name] }

// look is where a part is read.
func (s *Side) look(part string) querier {
	if s.moment != nil {
		return s.moment
	}
	return s.tables[part]
}

// FromShared opens a record that servers share, to be moved from. They must be stopped:
// what they change meanwhile makes the move fail at its end.
func (r Record) FromShared(ctx context.Context, at database.Place, name string, store photos.Store) (*Side, error) {
	s := &Side{Record: r, name: name, tables: map[string]*sql.DB{}, shared: true, photos: store}
	return opened(s, s.fromShared(ctx, at))
}

func (s *Side) fromShared(ctx context.Context, at database.Place) error {
	for _, p := range s.parts {
		db, err := database.Raw(at)
		if err != nil {
			return err
		}
		s.add(p.name, db)
	}
	var there bool
	err := s.main().QueryRowContext(ctx, `SELECT to_regclass(current_schema() || '.' || $1) IS NOT NULL AND to_regclass(current_schema() || '.setting') IS NOT NULL`,
		s.parts[0].name+"_version").Scan(&there)
	if err == nil && !there {
		err = ErrNone
	}
	if err != nil {
		return err
	}
	texts, err := settings.OpenAt(ctx, at)
	if err != nil {
		return err
	}
	s.texts, s.close = texts, append(s.close, texts.Close)
	return nil
}

// FromUse opens a record as FromShared does, while servers go on with it: its tables and
// settings are read as of one moment, that of another record of the server where one is
// given. A photo that is deleted afterwards is absent.
func (r Record) FromUse(ctx context.Context, at database.Place, name string, store photos.Store, beside *Side) (*Side, error) {
	s, err := r.FromShared(ctx, at, name, store)
	if err != nil {
		return nil, err
	}
	return opened(s, s.fromUse(ctx, beside))
}

func (s *Side) fromUse(ctx context.Context, beside *Side) (err error) {
	if s.moment, err = s.main().BeginTx(ctx, &sql.TxOptions{Isolation: sql.LevelRepeatableRead, ReadOnly: true}); err != nil {
		return err
	}
	s.close = append(s.close, func() error {
		s.moment.Rollback() // nothing was written
		return nil
	})
	s.texts = momentTexts{s.texts, s.moment}
	if beside == nil { // it is now, and not when something is first read
		return s.moment.QueryRowContext(ctx, `SELECT pg_export_snapshot()`).Scan(&s.known)
	}
	_, err = s.moment.ExecContext(ctx, `SET TRANSACTION SNAPSHOT '`+beside.known+`'`)
	return err
}

// momentTexts are the settings as of the moment of a transaction.
type momentTexts struct {
	settings.Texts
	tx *sql.Tx
}

func (t momentTexts) Read(ctx context.Context, name string) (text string, err error) {
	err = t.tx.QueryRowContext(ctx, `SELECT content FROM setting WHERE name = $1`, name).Scan(&text)
	if errors.Is(err, sql.ErrNoRows) {
		return "", fs.ErrNotExist
	}
	return text, err
}

// Room is about how many bytes the tables of a shared record take.
func (s *Side) Room(ctx context.Context) (bytes int64, err error) {
	err = s.look(s.parts[0].name).QueryRowContext(ctx, `SELECT coalesce(sum(pg_total_relation_size(c.oid)), 0)::bigint FROM pg_class c
		JOIN pg_namespace n ON n.oid = c.relnamespace WHERE n.nspname = current_schema() AND c.relkind = 'r'`).Scan(&bytes)
	return bytes, err
}

// version is that of a part's tables.
func (s *Side) version(ctx context.Context, part string) (v int64, err error) {
	name := "goose_db_version"
	if s.shared {
		name = part + "_version"
	}
	err = s.look(part).QueryRowContext(ctx, fmt.Sprintf(`SELECT max(version_id) FROM %s`, name)).Scan(&v)
	return v, err
}
